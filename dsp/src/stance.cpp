#include "stance.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/Eigenvalues>
#include <fmt/format.h>

#include "strapline/dsp/rotation.hpp"

#include "measure_traces.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// rad (5°): between the axis that the heel lifts about and the normal of the toe line (a figure of
/// ours).
constexpr double kPitchPlane = 0.087;

/// The axis about which a foot tips away from standing flat, sensor frame, positive toes up.
struct PitchAxis {
  Vector3d axis;
  double u = kUnknownAxis;  ///< rad
};

/// Where up has gone in the sensor shows the tipping alone, whichever way the foot points by then.
/// The heel lifts further than the toes, so most of it is negative.
PitchAxis pitch_axis(const GridMotion& motion, const Vector3d& up, Index from) {
  Matrix3d scatter = Matrix3d::Zero();
  Vector3d sum = Vector3d::Zero();
  for (Index i = from; i < static_cast<Index>(motion.known.size()); ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (motion.known[at] == 0) continue;
    const Vector3d tipped =
        (motion.q_world_from_sensor[at].conjugate() * world_up()).cross(up);  // axis · sin(angle)
    const double size = tipped.norm();
    if (size < std::sin(kLeastAlignTurn)) continue;
    scatter += tipped * tipped.transpose();
    sum += size * tipped;
  }
  if (sum.norm() <= 0.0) return {up.unitOrthogonal(), kUnknownAxis};
  const Eigen::SelfAdjointEigenSolver<Matrix3d> solver(scatter);
  Vector3d axis = solver.eigenvectors().col(2);
  axis = (axis - up * up.dot(axis)).normalized();
  if (axis.dot(sum) > 0.0) axis = -axis;
  const double across = std::max(0.0, solver.eigenvalues()[1]) / solver.eigenvalues()[2];
  return {axis, std::min(kUnknownAxis, std::hypot(kPitchPlane, std::sqrt(across)))};
}

/// Heading of the segment's X in the strap's own world, rad.
double heading_of_x(const PreparedStrap& strap, Index i) {
  const Vector3d x = strap.motion.q_world_from_sensor[static_cast<std::size_t>(i)] *
                     (strap.alignment->q_sensor_from_segment * Vector3d::UnitX());
  return std::atan2(-x.z(), x.x());
}

std::optional<double> mean_heading(const PreparedStrap& foot, const VectorXd& t,
                                   const Interval& part) {
  double s = 0.0, c = 0.0;
  for (Index i = nearest_index(t, part.from_s); i <= nearest_index(t, part.to_s); ++i) {
    if (foot.motion.known[static_cast<std::size_t>(i)] == 0) continue;
    s += std::sin(heading_of_x(foot, i));
    c += std::cos(heading_of_x(foot, i));
  }
  if (s == 0.0 && c == 0.0) return std::nullopt;
  return std::atan2(s, c);
}

void align_foot(PreparedStrap& foot, const VectorXd& t, const ResolvedParts& parts) {
  const auto up = up_in_sensor(foot.motion, t, *parts.still);
  if (!up) {
    foot.trouble = fmt::format("no samples of the strap on {} while standing still",
                               to_string(foot.placement));
    return;
  }
  const PitchAxis pitch = pitch_axis(foot.motion, *up, nearest_index(t, parts.still->to_s));
  Matrix3d sensor_from_segment;
  sensor_from_segment << up->cross(pitch.axis), *up, pitch.axis;
  SegmentAlignment alignment;
  alignment.q_sensor_from_segment = Quaterniond(sensor_from_segment);
  alignment.axis_u = pitch.u;
  foot.alignment = alignment;
  const auto heading = mean_heading(foot, t, *parts.align);
  if (!heading) {
    foot.alignment.reset();
    foot.trouble = fmt::format(
        "no samples of the strap on {} in the movement that shows the toe "
        "line",
        to_string(foot.placement));
    return;
  }
  foot.alignment->start_heading = *heading;
  foot.trouble.clear();
}

}  // namespace

void carry_toe_lines(std::vector<PreparedStrap>& straps, const VectorXd& t,
                     const ResolvedParts& parts) {
  if (!parts.still) return;
  for (PreparedStrap& foot : straps) {
    if (foot.placement.segment != Segment::foot) continue;
    align_foot(foot, t, parts);
    if (!foot.alignment) continue;
    VectorXd turned(t.size());
    for (Index i = 0; i < t.size(); ++i) {
      turned[i] = wrap_angle(heading_of_x(foot, i) - foot.alignment->start_heading);
    }
    for (const Segment segment : {Segment::thigh, Segment::shank, Segment::foot}) {
      auto* strap = const_cast<PreparedStrap*>(strap_at(straps, {segment, foot.placement.side}));
      if (strap == nullptr || !strap->alignment) continue;
      strap->stance = turned;
      strap->stance_u = foot.motion.heading_u;
      follow_segment(*strap);
    }
  }
}

}  // namespace strapline::dsp
