#pragma once

#include <vector>

#include <Eigen/Geometry>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/arm_params.hpp"

#include "excursion.hpp"
#include "segment_frame.hpp"
#include "sway.hpp"

namespace strapline::recordings::synthetic {

/// Which way a hanging or lying arm bends at elbow_turn 0.
enum class ElbowsTowards { feet, forwards, backwards };

/// What tells one movement of the arms from another.
struct ArmSetting {
  bool lowers_first;  ///< else the first phase lifts
  bool hands_fixed;   ///< the body moves; else the trunk stays and the hands move
  bool hands_above;   ///< of the shoulders, in the world; else below
  bool extends;       ///< starts bent: the range is the elbow's extension
  ElbowsTowards elbows;
  double height;  ///< m, of the hands where they are fixed, else of the shoulders
};
[[nodiscard]] ArmSetting setting_of(ArmMovement movement);

/// A rep with its drawn values, at the turn and on top of the start position's.
struct ArmExcursion : Excursion {
  double difference = 0.0;  ///< rad of elbow flexion, left minus right
  Sides elbow_turn;         ///< rad
  double body_line = 0.0;   ///< rad
};

/// How one segment gets from standing to the start position: one turn about one axis, and where it
/// then is.
struct Change {
  Eigen::AngleAxisd standing_from_start{0.0, Eigen::Vector3d::UnitX()};
  Eigen::Matrix3d start_from_world = Eigen::Matrix3d::Identity();
};

struct ArmSway {
  SwaySignal turn, side_lean, lean, flexion;  ///< rad
};

/// The whole recording, laid out in time: everything random about the movement is drawn here.
struct ArmPlan {
  ArmSetParams params;
  ArmSetting setting{};
  BodyLengths body{};
  std::vector<Excursion> bends, raises, bows;
  std::vector<ArmExcursion> reps;
  double ready_from = 0.0, leave_from = 0.0;  ///< s, the start position is taken up and left
  double toes_behind = 0.0;                   ///< m, of the hands (push-up)
  ArmSway sway;
  Change trunk, thigh;
  SidePair<Change> upper_arm;
  dsp::RecordingParts parts;
  dsp::Interval before{}, after{};  ///< standing around the set, with nothing to do
  double end = 0.0;                 ///< s, of the recording; it begins at 0
};

[[nodiscard]] ArmPlan make_plan(const ArmSetParams& params);

/// One clear line where a value makes no sense.
[[nodiscard]] dsp::Result<void> check_params(const ArmSetParams& params);

}  // namespace strapline::recordings::synthetic
