#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/coaching/band.hpp"
#include "strapline/dsp/body.hpp"
#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// Pain above this stops, unless coach and client agreed on another limit: any pain at all.
/// Common practice in its strictest form; clinics also work with 0–2 or 0–3 of 10 as acceptable.
inline constexpr double kStrictPainLimit = 0.0;

/// What coach and client agreed not to exceed.
struct AgreedLimits {
  double pain = kStrictPainLimit;         ///< 0–10; pain above it stops
  std::map<std::string, double> load_kg;  ///< greatest load, by movement name
  /// SI; by base name of a measure ("knee_flexion") or full name ("knee_flexion_left", which goes
  /// first).
  std::map<std::string, Band> range;
};

/// A client as the client's TOML file says (README.md "A client's file").
struct Client {
  std::string name;  ///< role or name, as recordings have it
  std::string kit;   ///< the usual one: which sensors, worn how
  std::string notes;
  dsp::BodyDimensions body;            ///< m
  std::optional<double> body_mass_kg;  ///< for loads relative to body weight
  AgreedLimits limits;
  /// The smallest difference that matters, SI, by base or full name of a measure, as
  /// CompareOptions takes it.
  std::map<std::string, double> smallest_that_matters;
  std::map<std::string, std::string> ladder_steps;  ///< ladder name -> name of the step stood on
  std::vector<std::string> aims;  ///< active ones by name; own files go before built-in ones
};

/// A client from the text of a file. `where` names the file in a failure: "FILE:LINE: reason".
[[nodiscard]] dsp::Result<Client> parse_client(std::string_view toml, std::string_view where);

/// The text of the file. parse_client gives the same client back (to 12 digits); comments that a
/// person wrote into an earlier text are not in it.
[[nodiscard]] std::string client_text(const Client& client);

/// The agreed range limit for a measure's full name: its own entry, else that of its base name.
[[nodiscard]] std::optional<Band> range_limit(const AgreedLimits& limits,
                                              const std::string& full_name);

}  // namespace strapline::coaching
