#pragma once

#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "segment_motion.hpp"

namespace strapline::dsp {

/// Variance, rad², of a quantity with this gradient with respect to a small turn, by the tilt;
/// both in the strap's own world. `tilt_covariance`: rad², as GridMotion's.
[[nodiscard]] double level_variance(const Eigen::Vector3d& tilt_covariance,
                                    const Eigen::Vector3d& gradient);

/// How well a strap's tilt at one instant is known against another. Most of a tilt's error is the
/// accelerometer's offset, which does not change: how far it tilts a strap depends on the strap's
/// posture, so two postures show it differently, and what the gyroscope says of the turn between
/// tells of it, too. Against the still part the smoother's covariance of the two holds all of that;
/// between two other instants it is put together from what the smoother knows of the offset, how
/// well the gyroscope's gain is known, and what is uncertain of each tilt beyond the offset.
///
/// Refers to `strap`, which must be aligned, and to its alignment and offset as they are now.
class TiltChange {
 public:
  explicit TiltChange(const PreparedStrap& strap);

  /// Variance, rad², of a quantity whose gradient with respect to a small turn of the segment, in
  /// its world, is `gradient`, by the sensor's tilt at sample i against the still part, where the
  /// segment's zero comes from: what was wrong while standing was taken for how the strap sits, and
  /// has turned with it, about the vertical, too. What the heading itself is off now is not counted
  /// here.
  [[nodiscard]] double variance_since_still(Eigen::Index i, const Eigen::Vector3d& gradient) const;

  /// Same, of a leg whose hinge was fitted (LegHinge), without what its tilts are of: the offset
  /// along the hinge, and what the still part was off across the leg, which the hinge has replaced.
  [[nodiscard]] double variance_beside_hinge(Eigen::Index i, const Eigen::Vector3d& gradient) const;

  /// Variance, rad², of the sensor's turn between samples i and j about the horizontal axis of that
  /// turn.
  [[nodiscard]] double variance_between(Eigen::Index i, Eigen::Index j) const;

 private:
  struct Look;
  [[nodiscard]] Look look_at(Eigen::Index i) const;
  [[nodiscard]] Look still_look() const;
  [[nodiscard]] double beyond(const Look& look, const Eigen::Vector3d& gradient) const;
  [[nodiscard]] double changed(const Look& now, const Eigen::Vector3d& g, const Look& then,
                               const Eigen::Matrix3d& offset) const;
  [[nodiscard]] double shared_with_still(Eigen::Index i, const Eigen::Vector3d& now,
                                         const Eigen::Vector3d& then) const;

  const PreparedStrap& strap_;
  Eigen::Matrix3d offset_;  // (m/s²)², of the accelerometer's offset, in the segment's axes
  double start_sine_, start_cosine_;
};

/// n, 1: how far from its upright a strap has been held in the seconds about each sample, on
/// average: the length of what gravity has moved by in the segment.
[[nodiscard]] Eigen::VectorXd held_over(
    const std::vector<Eigen::Quaterniond>& q_world_from_segment);

/// As TiltChange::variance_since_still, by what each of an accelerometer's axes shows of the others,
/// which no still part tells: it counts where the strap is held in another posture for seconds. In
/// a rep that ends where it began the gyroscope links both.
[[nodiscard]] double cross_axis_variance(const PreparedStrap& strap, Eigen::Index i,
                                         const Eigen::Vector3d& gradient);

}  // namespace strapline::dsp
