#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/coaching/aim.hpp"
#include "strapline/dsp/failure.hpp"

namespace strapline::coaching {

/// The one thing that a step brings and the step before did not have.
enum class Novelty { start, assistance, range, variation, load };

/// A load in kg or as a multiple of body mass.
struct ScaledLoad {
  LoadScale scale = LoadScale::kg;
  double load = 0.0;
};

/// What the client must be accustomed to before standing on a step.
struct EntryCondition {
  std::optional<double> range;     ///< rad, in the step's movement
  std::optional<ScaledLoad> load;  ///< in the step's movement, at any range
  std::string why, source;
};

/// The most sessions that a step may ask for: further back nothing is judged again.
inline constexpr int kMostSessions = 6;

/// What earns the next step.
struct ExitCondition {
  int sessions = 2;                ///< running, on different days; kMostSessions at most
  int extra_reps = 2;              ///< beyond the step's reps in the last set of each
  double reserve = 1.0;            ///< reps in reserve at least, in the last set
  double range_loss = 0.1745;      ///< rad (10°): more must not have been lost on this step
  std::optional<ScaledLoad> load;  ///< to be reached on this step, where it is about load
  std::string why, source;
};

/// One step: a way of doing a movement, with the aim that it is judged by.
struct LadderStep {
  std::string name;   ///< "to_box"
  std::string title;  ///< "Squat to a box"
  std::string movement;
  std::string variation;  ///< of its sets, to the letter; "" for sets without one
  std::string aim;        ///< name of an aim: the client's own, else a built-in one
  Novelty brings = Novelty::start;
  int reps = 8;                    ///< asked for in a set
  std::optional<LoadRange> loads;  ///< of its sets; empty: any
  std::optional<EntryCondition> entry;
  ExitCondition exit;
};

/// Steps from the easiest to the hardest, in a family of movements (README.md "A ladder's file").
struct Ladder {
  std::string name;   ///< "squat"
  std::string title;  ///< "Squat, from assisted to loaded"
  std::string purpose;
  std::vector<LadderStep> steps;  ///< two at least
};

/// Names of the ladders that are built in, sorted: starting points, to be copied and changed.
[[nodiscard]] std::vector<std::string> built_in_ladders();

/// The text of a built-in ladder's file; "" where there is none of this name.
[[nodiscard]] std::string_view built_in_ladder_text(const std::string& name);

/// A ladder from the text of its file. `where` names the file in a failure: "FILE:LINE: reason".
[[nodiscard]] dsp::Result<Ladder> parse_ladder(std::string_view toml, std::string_view where);

/// A built-in ladder by name, or, where `name_or_path` ends in ".toml", the ladder in that file.
[[nodiscard]] dsp::Result<Ladder> load_ladder(const std::string& name_or_path);

/// Index of the step of this name.
[[nodiscard]] std::optional<std::size_t> find_step(const Ladder& ladder, const std::string& name);

/// What a set was, as far as a ladder tells steps apart by it.
struct SetKind {
  std::string movement, variation;
  LoadedWith with;
};

/// The step that a set belongs to: movement and variation, and the load where steps differ by it.
/// A step that asks for loads takes no set without a load. Empty where it belongs to none.
[[nodiscard]] std::optional<std::size_t> step_of(const Ladder& ladder, const SetKind& set);

/// In kg; empty where it is a multiple of a body mass that is not known.
[[nodiscard]] std::optional<double> kilograms(const ScaledLoad& load,
                                              std::optional<double> body_mass_kg);

}  // namespace strapline::coaching
