#pragma once

#include <cmath>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/rotation.hpp"

#include "measure_traces.hpp"
#include "square.hpp"
#include "tilt_change.hpp"

namespace strapline::dsp {

/// How a segment swayed while standing, rad, 1 sigma.
struct Sway {
  double forwards = 0.0, sideways = 0.0;
};

/// One aligned strap seen sample by sample, with the errors that its segment carries.
class SegmentView {
 public:
  SegmentView(const PreparedStrap& strap, const TraceSource& source)
      : strap_(strap), source_(source), tilt_(strap) {}

  const Eigen::Quaterniond& q(Eigen::Index i) const {
    return strap_.q_world_from_segment[static_cast<std::size_t>(i)];
  }
  Eigen::Vector3d up_axis(Eigen::Index i) const { return q(i) * Eigen::Vector3d::UnitY(); }

  /// Variance, rad², of the strap's turn against the bone about one axis.
  double tissue_variance(Eigen::Index i) const { return square(tissue_across(i)); }
  /// Variance, rad², of a quantity whose gradient with respect to a small turn of the segment, in
  /// its world, is `g`, by the strap's tilt, now and while still.
  double strap_variance(Eigen::Index i, const Eigen::Vector3d& g) const {
    return tilt_.variance_since_still(i, g) + cross_axis_variance(strap_, i, g) +
           level_square(g) * square(strap_.shift_u);
  }
  /// Same, of a leg whose hinge was fitted, without what LegHinge::covariance says.
  double strap_variance_beside_hinge(Eigen::Index i, const Eigen::Vector3d& g) const {
    if (!hinged()) return strap_variance(i, g);
    return tilt_.variance_beside_hinge(i, g) + level_square(g) * square(strap_.shift_u);
  }
  /// As strap_variance, of the segment's: with soft tissue.
  double moving_variance(Eigen::Index i, const Eigen::Vector3d& g) const {
    return strap_variance(i, g) + level_square(g) * tissue_variance(i);
  }
  /// Same, with how far from plumb the segment may have stood.
  double tilt_variance(Eigen::Index i, const Eigen::Vector3d& g) const {
    return moving_variance(i, g) + square(g.x()) * standing_across_variance() +
           square(g.z()) * standing_variance();
  }
  /// Variance, rad², of how far from plumb the segment may have stood, forwards.
  double standing_variance() const {
    const ErrorBudget& b = source_.budget;
    return square(of_limb() ? b.standing_limb : b.standing) + square(lean_u());
  }
  /// Same, sideways.
  double standing_across_variance() const {
    const ErrorBudget& b = source_.budget;
    return square(of_limb() ? b.standing_limb_across : b.standing_across) + square(lean_u());
  }
  [[nodiscard]] bool of_limb() const { return strap_.placement.side != Side::middle; }
  /// Of a limb, what standing_variance holds of it.
  [[nodiscard]] Sway sway() const {
    return {source_.budget.limb_sway, source_.budget.limb_sway_across};
  }
  /// See SegmentAlignment::lean_u.
  double lean_u() const { return strap_.alignment->lean_u; }

  /// Variance, rad², across the leg of how it stood: what the joint's hinge tells where it is
  /// known.
  double slant_variance() const {
    const ErrorBudget& b = source_.budget;
    return strap_.alignment->by_hinge ? square(strap_.alignment->across_u)
                                      : square(b.standing_limb_across) + square(b.stance_slant);
  }

  /// Whether the knee's hinge was fitted; then what LegHinge says of it.
  bool hinged() const { return strap_.alignment->by_hinge; }
  const HingeCovariance& hinge_covariance() const { return strap_.hinge_covariance; }
  const Eigen::Matrix<double, 6, 1>& hinge_turns() const { return strap_.hinge_turns; }

  /// See PreparedStrap::toe_line_per_across.
  double toe_line_per_across() const { return strap_.toe_line_per_across; }
  /// rad, how far soft tissue turns the toe line as the bends showed it, where it tilts the shank's
  /// strap across by `tissue_across(i)`: it is the same tissue.
  double tissue_in_toe_line() const { return tissue_sd() * strap_.toe_line_per_tissue; }
  double tissue_across(Eigen::Index i) const { return tissue_sd() * source_.depth_share[i]; }
  /// See PreparedStrap::toe_line_per_tissue.
  double toe_line_per_tissue() const { return strap_.toe_line_per_tissue; }
  /// 1, see TraceSource::depth_share.
  double bend(Eigen::Index i) const { return source_.depth_share[i]; }

  /// Variance, rad², of the toe line as the alignment movement showed it, without what the hinge's
  /// error adds. Thigh and shank of one leg share its error.
  double toe_line_variance() const {
    const double toe =
        source_.aligned_by_set ? source_.budget.toe_line_from_set : source_.budget.toe_line;
    const SegmentAlignment& a = *strap_.alignment;
    const double seen = a.by_hinge ? a.toe_line_u : a.axis_u;
    return square(toe) + square(seen);
  }
  /// Variance, rad², of the strap's own heading since the alignment. Soft tissue is not in it: it
  /// turns a strap about every axis, and which of these counts is the measure's own.
  double turned_variance(Eigen::Index i) const {
    const double stance = strap_.stance_u.size() == 0 ? 0.0 : strap_.stance_u[i];
    return heading_variance_since_still(strap_, i) + square(strap_.twist_u) + square(stance);
  }
  /// Same, with what the hinge leaves uncertain of it.
  double heading_variance(Eigen::Index i) const {
    return turned_variance(i) + square(strap_.alignment->hinge_heading_u);
  }

  /// Variance, rad², of the trunk's own facing against the person's; of a limb none.
  double own_facing_variance() const {
    if (strap_.placement.side != Side::middle) return 0.0;
    return square(source_.budget.trunk_facing) + square(strap_.alignment->axis_u);
  }
  double facing_variance(Eigen::Index i) const {
    return own_facing_variance() + heading_variance(i);
  }

 private:
  /// Of the part that lies level.
  static double level_square(const Eigen::Vector3d& g) { return square(g.x()) + square(g.z()); }
  /// rad about one axis, at kFullFlexion.
  double tissue_sd() const {
    return soft_tissue_per_axis(source_.budget, strap_.placement.segment);
  }

  const PreparedStrap& strap_;
  const TraceSource& source_;
  TiltChange tilt_;
};

}  // namespace strapline::dsp
