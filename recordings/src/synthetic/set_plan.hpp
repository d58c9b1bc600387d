#pragma once

#include <vector>

#include "strapline/recordings/synthetic/squat_params.hpp"

#include "excursion.hpp"
#include "knee_wander.hpp"
#include "sway.hpp"

namespace strapline::recordings::synthetic {

/// An excursion of a squat with its drawn values.
struct SquatExcursion : Excursion {
  double shank_per_travel = 0.33;  ///< rad of shank lean per rad of thigh travel
  double depth = 0.0;              ///< rad, asked for (of a rep)
  double share = 1.0;              ///< of the travel that this depth takes: a part rep's
  Sides knee_line;                 ///< m at the bottom
  double knee_dip = 0.0;           ///< m, early in lifting
  double trunk_lean = 0.0;         ///< rad, added to the standing lean
  double trunk_lean_extra = 0.0;   ///< rad, early in lifting
  double knee_within = deg(30.0);  ///< rad of travel until the knee is on its line
};

/// A weight shift between two parts.
struct Fidget {
  double start = 0.0, duration = 1.0;  ///< s
  double shift = 0.0;                  ///< m to the right
  double turn = 0.0;                   ///< rad, pelvis to the left
};

/// Small movement that never stops.
struct Sway {
  SwaySignal forwards, sideways;              ///< m, of the hips
  SwaySignal turn, flexion, lean, side_lean;  ///< rad
  SidePair<SwaySignal> knees;                 ///< m, of the knee line
};

/// The whole recording, laid out in time: everything random about the movement is drawn here.
struct SetPlan {
  SquatSetParams params;
  BodyLengths body{};
  std::vector<SquatExcursion> excursions;  ///< bends first, in time order
  std::vector<Fidget> fidgets;
  Sides steps_from;  ///< s, when each foot is placed anew (Restance)
  Sway sway;
  SidePair<KneeWander> knees;
  dsp::RecordingParts parts;
  dsp::Interval before{}, after{};  ///< standing around the set, with nothing to do
  double end = 0.0;                 ///< s, of the recording; it begins at 0
};

/// Postural sway: a few millimetres at the hips, below about 1 Hz (common knowledge of quiet
/// standing, from memory); a trunk's lean by so much that four seconds of standing still leave the
/// quarter of a degree that the analysis states of it (both figures of ours); flexion sways less
/// than the least standing flexion.
[[nodiscard]] Sway draw_body_sway(std::uint64_t seed, double factor);

[[nodiscard]] SetPlan make_plan(const SquatSetParams& params);

/// Mean thigh depth at the rep's bottom minus the asked one, rad; not a number where the body
/// cannot take that posture.
[[nodiscard]] double depth_error(const SetPlan& plan, const SquatExcursion& e);

}  // namespace strapline::recordings::synthetic
