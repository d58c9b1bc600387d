#pragma once

#include <array>
#include <vector>

#include "strapline/recordings/synthetic/squat_params.hpp"

namespace strapline::recordings::synthetic {

/// One excursion (a rep, a part rep or an alignment bend) with its drawn values. Its shape
/// rises from 0 to 1 (lowering) and falls back (lifting); every drive is an amplitude times it.
struct Excursion {
  double start = 0.0;          ///< s, lowering profile begins
  double lowering = 1.0;       ///< s, duration of the profile, not of the phase
  double lifting_start = 0.0;  ///< s; may lie before the end of lowering: a bounce
  double lifting = 1.0;        ///< s
  double lowering_skew = 0.0;
  double lifting_skew = 0.0;
  double gain = 1.0;               ///< makes the shape's peak 1 in a bounce
  double bottom = 0.0;             ///< s, when the shape is deepest
  double depth = 0.0;              ///< rad, asked for (of a rep)
  double travel = 0.0;             ///< rad, thigh travel at the bottom
  Sides knee_line;                 ///< m at the bottom
  double knee_dip = 0.0;           ///< m, early in lifting
  double trunk_lean = 0.0;         ///< rad, added to the standing lean
  double trunk_lean_extra = 0.0;   ///< rad, early in lifting
  double knee_within = deg(30.0);  ///< rad of travel until the knee is on its line
  bool align = false;

  [[nodiscard]] double end() const { return lifting_start + lifting; }
};

/// A weight shift between two parts.
struct Fidget {
  double start = 0.0, duration = 1.0;  ///< s
  double shift = 0.0;                  ///< m to the right
  double turn = 0.0;                   ///< rad, pelvis to the left
};

struct Sine {
  double amplitude = 0.0, rate = 0.0, phase = 0.0;  ///< unit, rad/s, rad
};
using SwaySignal = std::array<Sine, 2>;

/// Small movement that never stops.
struct Sway {
  SwaySignal forwards, sideways;              ///< m, of the hips
  SwaySignal turn, flexion, lean, side_lean;  ///< rad
};

/// The whole recording, laid out in time: everything random about the movement is drawn here.
struct SetPlan {
  SquatSetParams params;
  BodyLengths body{};
  std::vector<Excursion> excursions;  ///< bends first, in time order
  std::vector<Fidget> fidgets;
  Sway sway;
  dsp::RecordingParts parts;
  double end = 0.0;  ///< s, of the recording; it begins at 0
};

[[nodiscard]] SetPlan make_plan(const SquatSetParams& params);

/// Mean thigh depth at the rep's bottom minus the asked one, rad; not a number where the body
/// cannot take that posture.
[[nodiscard]] double depth_error(const SetPlan& plan, const Excursion& e);

}  // namespace strapline::recordings::synthetic
