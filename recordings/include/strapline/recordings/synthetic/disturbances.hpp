#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/set_choice.hpp"

namespace strapline::recordings::synthetic {

/// What happens in a recording besides clean reps. The set part then holds all of it, from the end
/// of the alignment to the second still part.
struct Disturbances {
  bool unracking = false;       ///< a small dip before the set and after it
  bool walk_out = false;        ///< a few short steps before the set, and back after it
  bool re_grip = false;         ///< one hand after the other, before the set and in the pause
  bool pause = false;           ///< 10–30 s in mid-set: a cluster set
  bool part_reps = false;       ///< two part reps
  bool grind = false;           ///< the last rep's lifting is slow and sticks half-way
  bool strap_fiddling = false;  ///< straps are turned on the limb and back
  bool rest = false;            ///< standing at ease for a while, before and after

  [[nodiscard]] bool any() const {
    return unracking || walk_out || re_grip || pause || part_reps || grind || strap_fiddling ||
           rest;
  }
};

[[nodiscard]] Disturbances all_disturbances();

/// "walk_out", "re_grip" …; "all" is all of them. Fails on a name that is none.
[[nodiscard]] dsp::Result<Disturbances> parse_disturbances(const std::vector<std::string>& names);

/// "unracking", "walk_out", …: what parse_disturbances knows, without "all".
[[nodiscard]] std::vector<std::string> disturbance_names();

/// The set with part reps, pause and grind as asked, and with the time that the rest of it takes.
/// Sets of fewer than six reps get six.
[[nodiscard]] SetParams disturbed(SetParams params, const Disturbances& disturbances);

/// A recording in which nothing is a rep: the client walks, climbs stairs, turns round, talks with
/// the hands, handles straps, shifts the weight.
struct IdleParams {
  std::uint64_t seed = 1;
  std::string expected = "squat";  ///< the movement that the recording names
  double minutes = 10.0;
};

}  // namespace strapline::recordings::synthetic
