#pragma once

#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/one_leg_params.hpp"

#include "set_plan.hpp"

namespace strapline::recordings::synthetic {

/// Thigh and shank in the plane of the toe line, rad: knee ahead of the hip, ahead of the ankle.
struct LegAngles {
  double thigh = 0.0, shank = 0.0;
};

/// A bend of both legs or a rep of one, with its drawn values: at the turn, on top of the start.
struct OneLegExcursion : Excursion {
  LegAngles working;         ///< rad
  LegAngles other;           ///< rad, of the leg that does not work
  Sides knee_line;           ///< m
  double knee_dip = 0.0;     ///< m
  double trunk_lean = 0.0;   ///< rad
  double step = 0.0;         ///< m, the working foot goes ahead and comes back (lunge)
  double knee_within = 0.5;  ///< rad
  double heel_up = 0.0;      ///< rad, of the other foot
};

/// The whole recording, laid out in time: everything random about the movement is drawn here.
struct OneLegPlan {
  OneLegSetParams params;
  BodyLengths body{};
  LegAngles standing;
  LegAngles other_stance;  ///< rad on top of standing, of the other leg in the start position
  std::vector<OneLegExcursion> excursions;  ///< bends first, in time order
  Sway sway;
  SidePair<KneeWander> knees;
  dsp::RecordingParts parts;
  dsp::Interval before{}, after{};            ///< standing around the set, with nothing to do
  double ready_from = 0.0, leave_from = 0.0;  ///< s, the start position is taken up and left
  double end = 0.0;                           ///< s, of the recording; it begins at 0
};

[[nodiscard]] OneLegPlan make_plan(const OneLegSetParams& params);

/// One clear line where a value makes no sense.
[[nodiscard]] dsp::Result<void> check_params(const OneLegSetParams& params);

}  // namespace strapline::recordings::synthetic
