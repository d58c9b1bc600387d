#pragma once

#include <memory>

#include <Eigen/Core>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/squat_params.hpp"

namespace strapline::recordings::synthetic {

struct SetPlan;

/// A body segment at one time, in the world (Y up, X forwards, Z to the right). Exact derivatives,
/// not differences.
struct SegmentState {
  Eigen::Vector3d position;      ///< m, of the segment's upper joint (foot: the ankle)
  Eigen::Vector3d velocity;      ///< m/s
  Eigen::Vector3d acceleration;  ///< m/s²
  Eigen::Matrix3d world_from_segment;
  Eigen::Vector3d angular_rate;  ///< rad/s, in world axes
};

/// Joint centres of one leg, m.
struct LegCentres {
  Eigen::Vector3d ankle, knee, hip;
};

/// The frontal projection of a thigh nearer to horizontal than this (or beyond) has no direction
/// to speak of: no knee line angle there. rad, the analysis's own limit.
inline constexpr double kFrontalLimit = 0.52;

/// What measures.md reads off the bones at one time; rad and m.
struct BoneMeasures {
  Sides thigh_depth, knee_flexion, hip_flexion, knee_line_distance, knee_travel;
  Sides knee_line_angle;  ///< not a number within kFrontalLimit
  double trunk_lean = 0.0, trunk_side_lean = 0.0;
  double range_angle = 0.0;  ///< mean thigh depth of both sides
};

/// The movement of a set as a function of time: closed form, three times differentiable.
/// Segments: pelvis, lower_back, upper_back and chest (one rigid thorax), thigh, shank, foot,
/// upper_arm, forearm, bar (rigid on the thorax). Copies share the immutable plan.
class SquatMotion {
 public:
  /// The parameters must have passed check_params (synthesize does that itself).
  explicit SquatMotion(const SquatSetParams& params);

  [[nodiscard]] double end_s() const;
  [[nodiscard]] const dsp::RecordingParts& parts() const;
  [[nodiscard]] const SetPlan& plan() const { return *plan_; }

  [[nodiscard]] SegmentState segment(dsp::Placement placement, double t) const;
  [[nodiscard]] LegCentres leg(dsp::Side side, double t) const;
  [[nodiscard]] BoneMeasures measures(double t) const;
  /// d(range_angle)/dt, rad/s.
  [[nodiscard]] double range_rate(double t) const;

 private:
  std::shared_ptr<const SetPlan> plan_;
};

/// One clear line where a value makes no sense or the movement is beyond the body's geometry (a
/// knee line that the leg cannot reach, a depth that it cannot fold to).
[[nodiscard]] dsp::Result<SquatMotion> make_motion(const SquatSetParams& params);

}  // namespace strapline::recordings::synthetic
