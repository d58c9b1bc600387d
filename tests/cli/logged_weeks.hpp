#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/recordings/logbook.hpp"

namespace strapline::cli::testing {

/// A logged squat set of a client, made by hand: five straps' worth of measures are not needed to
/// decide a next step.
struct MadeSet {
  std::string date;  ///< "2026-11-20"
  std::string variation;
  double depth_deg = 3.0;  ///< of every rep, both sides
  double range_deg = 90.0;
  int reps = 10;
  std::optional<double> load_kg = 0.0;
  std::optional<double> reserve = 3.0;
  std::optional<double> pain = 0.0;
};

/// Writes the sets as the client's logbook, in CLIENTS/SLUG/logbook.h5.
void put_logbook(const std::string& clients, const std::string& client,
                 const std::vector<MadeSet>& sets);

}  // namespace strapline::cli::testing
