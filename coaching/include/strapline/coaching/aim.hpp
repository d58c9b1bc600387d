#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "strapline/coaching/band.hpp"
#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// How an aim's loads are given: in kg, or as a multiple of the client's body mass.
enum class LoadScale { kg, body_mass };

/// A load range; either end may be missing.
struct LoadRange {
  LoadScale scale = LoadScale::kg;
  Band load;  ///< kg, or multiples of body mass
};

/// A band's edges at one load.
struct BandAtLoad {
  double load = 0.0;  ///< kg, or multiples of body mass
  Band edges;         ///< SI
};

/// What an aim wants of one measure, and why. A measure without a band does not matter.
struct AimBand {
  /// Unsided ("knee_line_distance", "knee_line_distance_at_turn"): every side that is worn; or one
  /// side ("knee_line_distance_left").
  std::string measure;
  dsp::Unit unit = dsp::Unit::one;
  LoadScale scale = LoadScale::kg;
  std::vector<BandAtLoad> at;  ///< by rising load; a single one holds whatever the load
  std::string why;
  std::string source;  ///< a publication, or "common practice"

  [[nodiscard]] bool depends_on_load() const { return at.size() > 1; }
};

/// What one client means to do in a movement (README.md "An aim's file"): a band per measure that
/// matters, and how strictly.
struct Aim {
  std::string name;         ///< "squat_parallel"
  std::string title;        ///< "Squat to parallel"
  std::string movement;     ///< name of a movement
  std::string variation;    ///< of the set that it is for; "" for any
  std::string purpose;      ///< what it is for
  double strictness = 1.0;  ///< share of the full reps that must lie inside, (0, 1]
  std::optional<LoadRange> holds_for;
  std::vector<AimBand> bands;  ///< in the order in which measures are shown
};

/// Names of the aims that are built in, sorted. They are starting points, to be copied and changed.
[[nodiscard]] std::vector<std::string> built_in_aims();

/// The text of a built-in aim's file; "" where there is none of this name.
[[nodiscard]] std::string_view built_in_aim_text(const std::string& name);

/// An aim from the text of its file. `where` names the file in a failure: "FILE:LINE: reason".
[[nodiscard]] dsp::Result<Aim> parse_aim(std::string_view toml, std::string_view where);

/// A built-in aim by name, or, where `name_or_path` ends in ".toml", the aim in that file.
[[nodiscard]] dsp::Result<Aim> load_aim(const std::string& name_or_path);

/// What a set was done with, as far as it is known.
struct LoadedWith {
  std::optional<double> load_kg;
  std::optional<double> body_mass_kg;
};

/// What would have to be known first.
enum class Unknown { load, body_mass };

/// The load on a scale.
[[nodiscard]] tl::expected<double, Unknown> load_on(LoadScale scale, const LoadedWith& with);

/// A band's edges at the load: linear between the loads of its table, constant beyond its ends.
[[nodiscard]] tl::expected<Band, Unknown> edges_at(const AimBand& band, const LoadedWith& with);

/// True where the band is about this measure (a full name).
[[nodiscard]] bool concerns(const AimBand& band, const std::string& full_name);

}  // namespace strapline::coaching
