#include "leg_alignment.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/LU>

#include "strapline/dsp/hinge.hpp"
#include "strapline/dsp/rotation.hpp"

#include "leg_hinge.hpp"
#include "square.hpp"
#include "tilt_change.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kBentShare = 0.45;  // of the furthest bend: samples that show the toe line
constexpr double kLeastLean = 0.07;  // rad (4°): a shank that leans less shows no toe line

constexpr double kToeOutTangent = 0.268;    // of kUsualToeOut
constexpr double kToeOutTangentSd = 0.113;  // of kToeOutSd about it

/// How far the limb slants across the hinge's square while still, rad, in a world that is tilted
/// so.
double slant(const Vector3d& up, const Vector3d& hinge, double tilt) {
  return std::asin(hinge.dot(up)) + tilt;
}

/// Z along the hinge; Y as straight up while still as that allows. With the feet wider than the
/// hips a straight leg slants inwards; seen along a toe line that points outwards, it then also
/// leans back, by the slant times the tangent of the toe-out.
Quaterniond frame_from(const Vector3d& up, const Vector3d& hinge, double tilt, Side side) {
  const Vector3d y = (up - hinge * hinge.dot(up)).normalized();
  const double slant_inwards = (side == Side::right ? 1.0 : -1.0) * slant(up, hinge, tilt);
  const Quaterniond lean = exp_rotation(slant_inwards * kToeOutTangent * Vector3d::UnitZ());
  Eigen::Matrix3d sensor_from_segment;
  sensor_from_segment << y.cross(hinge), y, hinge;
  return Quaterniond(sensor_from_segment) * lean;
}

/// The world without what an accelerometer's offset along the hinge tilts it by.
Quaterniond levelled(const Quaterniond& q, const Vector3d& axis, double tilt) {
  return exp_rotation(-tilt * world_up().cross(q * axis)) * q;
}

void level(PreparedStrap& strap, const Vector3d& axis, double tilt) {
  for (Quaterniond& q : strap.motion.q_world_from_sensor) q = levelled(q, axis, tilt);
}

/// How far a strap is turned from its upright while still, rad.
double bend(const PreparedStrap& strap, const Vector3d& up_sensor, Index i) {
  const Vector3d up = strap.motion.q_world_from_sensor[static_cast<std::size_t>(i)] * up_sensor;
  return std::acos(std::clamp(up.y(), -1.0, 1.0));
}

/// The knee's path above the ankle while the thigh is well bent: horizontal parts of the shank's Y.
struct KneePath {
  std::vector<Eigen::Vector2d> at;
  std::vector<double> bend;  ///< rad, of the thigh at each
};

KneePath knee_path(const PreparedStrap& thigh, const Vector3d& thigh_up, const PreparedStrap& shank,
                   const Vector3d& shank_y, const LegHinge& hinge, const VectorXd& t,
                   const Interval& bends) {
  const Index first = nearest_index(t, bends.from_s), last = nearest_index(t, bends.to_s);
  double furthest = 0.0;
  for (Index i = first; i <= last; ++i) furthest = std::max(furthest, bend(thigh, thigh_up, i));
  KneePath path;
  for (Index i = first; i <= last; ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (thigh.motion.known[at] == 0 || shank.motion.known[at] == 0) continue;
    const double bent = bend(thigh, thigh_up, i);
    if (bent < kBentShare * furthest) continue;
    const Quaterniond& q = shank.motion.q_world_from_sensor[at];
    const Vector3d y = levelled(q, hinge.hinge.axis_b, hinge.tilt_b) * shank_y;
    path.at.emplace_back(y.x(), y.z());
    path.bend.push_back(bent);
  }
  return path;
}

struct ToeLine {
  double heading = 0.0;     // rad about the vertical, in the shank's own world
  double u = 0.0;           // rad, 1 sigma, without what the hinge and soft tissue add to it:
  double per_across = 0.0;  // 1, so much of the shank's axis pointing too high
  double per_tissue = 0.0;  // 1, and of what tissue turns its strap across at full flexion
  double too_high = 0.0;    // rad, how far the path shows the shank's axis to point so…
  double too_high_variance = 0.0;  // rad², …and how well it then is known
};

/// How far a client's bends lead the knee beside the toe line, and how the path strays, rad.
struct Bends {
  double offset_sd, noise_sd;
};

/// As usual the knee is 1 cm beside the line, and 0.3 cm from one independent view of the path to
/// the next. Who keeps it in line still sways, by half of what a standing body's hips do (1.25 mm,
/// RMS): half of that within the bends, half so slowly that it looks like an offset.
Bends bends_of(const ErrorBudget& budget) {
  constexpr double kUsualOffset = 0.02, kUsualNoise = 0.007, kHalfOfSway = 0.0021;  // rad
  const double badly = budget.toe_line / ErrorBudget{}.toe_line;
  return {std::hypot(badly * kUsualOffset, kHalfOfSway),
          std::max(kHalfOfSway, badly * kUsualNoise)};
}

/// A straight line through the path's parts across `along`: offset at the ankle (rad) and slope.
struct PathLine {
  Eigen::Vector2d found;
  Eigen::Matrix2d covariance;
};

PathLine path_line(const KneePath& path, const Eigen::Vector2d& along, double offset_variance,
                   double noise_sd) {
  constexpr double kViews = 8.0;     // independent ones in ten seconds of sway below 0.7 Hz
  constexpr double kSlopeSd = 0.15;  // rad, about the mean direction
  const Eigen::Vector2d across(-along.y(), along.x());
  const double weight = kViews / static_cast<double>(path.at.size()) / (noise_sd * noise_sd);
  Eigen::Matrix2d information;
  information << 1.0 / offset_variance, 0.0, 0.0, 1.0 / (kSlopeSd * kSlopeSd);
  Eigen::Vector2d right = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& p : path.at) {
    const Eigen::Vector2d regressor(1.0, along.dot(p));
    information += weight * regressor * regressor.transpose();
    right += weight * across.dot(p) * regressor;
  }
  const Eigen::Matrix2d covariance = information.inverse();
  return {covariance * right, covariance};
}

/// How the knee's flexion goes with the shank's lean along the path, both rad: a straight line.
struct Flexion {
  double unleaned = 0.0;  ///< where the shank stands plumb
  double mean = 0.0;
};

Flexion flexion_along(const KneePath& path, const Eigen::Vector2d& along) {
  const auto count = static_cast<double>(path.at.size());
  double lean = 0.0, flexion = 0.0, squares = 0.0, product = 0.0;
  for (std::size_t k = 0; k < path.at.size(); ++k) {
    const double x = along.dot(path.at[k]), y = path.bend[k] + x;
    lean += x / count;
    flexion += y / count;
    squares += x * x / count;
    product += x * y / count;
  }
  const double spread = std::max(1e-6, squares - lean * lean);
  return {flexion - lean * (product - lean * flexion) / spread, flexion};
}

/// The toe line is the direction in which the knee travels in the bends. That it also passes
/// through the ankle is known only as well as the client keeps the knee over the toe: a regression
/// of the path's sideways part on its forward part, with a prior on the offset and on the slope.
/// An axis of the shank that points too high puts the whole path aside, so the offset also tells of
/// that. Skin turns the shank's strap the more the further the knee bends, so it looks like another
/// toe line, and like an offset as far as the knee is bent where the shank stands plumb.
/// `across_u`: rad, of the shank's hinge.
std::optional<ToeLine> toe_line(const KneePath& path, const ErrorBudget& budget, double across_u) {
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& p : path.at) sum += p;
  const auto count = static_cast<double>(path.at.size());
  if (path.at.empty() || sum.norm() < kLeastLean * count) return std::nullopt;
  const Eigen::Vector2d along = sum.normalized();
  const double lean = sum.norm() / count;
  const Bends bends = bends_of(budget);
  const Flexion flexion = flexion_along(path, along);
  const double tissue = soft_tissue_per_axis(budget, Segment::shank) / kFullFlexion;
  const double offset_variance =
      square(across_u) + square(bends.offset_sd) + square(tissue * flexion.unleaned);
  const auto [found, covariance] = path_line(path, along, offset_variance, bends.noise_sd);
  const Eigen::Vector2d direction = along + found.y() * Eigen::Vector2d(-along.y(), along.x());
  ToeLine toe{std::atan2(-direction.y(), direction.x())};
  // Of the offset the axis has its share, the client the rest.
  const double of_axis = square(across_u) / offset_variance;
  toe.too_high = -of_axis * found.x();
  toe.too_high_variance = square(of_axis) * covariance(0, 0) + square(across_u) * (1.0 - of_axis);
  // What is left of the axis's error has turned the path's direction with it.
  toe.per_across = -of_axis * covariance(0, 1) / toe.too_high_variance;
  toe.u =
      std::sqrt(std::max(0.0, covariance(1, 1) - square(toe.per_across) * toe.too_high_variance));
  toe.per_tissue = flexion.mean / (kFullFlexion * lean);
  return toe;
}

/// Axes and headings of one leg from its fitted hinge and the toe line.
void take_leg(PreparedStrap& thigh, PreparedStrap& shank, const LegHinge& fitted,
              const Quaterniond& thigh_frame, const Quaterniond& shank_frame, const ToeLine& toe) {
  for (SegmentAlignment* a : {&*thigh.alignment, &*shank.alignment}) {
    a->axis_u = fitted.hinge.mismatch;
    a->by_hinge = true;
    a->toe_line_u = toe.u;
  }
  thigh.hinge_covariance = shank.hinge_covariance = fitted.covariance;
  thigh.hinge_turns = shank.hinge_turns = fitted.turns;
  thigh.toe_line_per_across = shank.toe_line_per_across = toe.per_across;
  thigh.toe_line_per_tissue = shank.toe_line_per_tissue = toe.per_tissue;
  thigh.alignment->hinge_heading_u = fitted.hinge.heading_u;
  shank.alignment->across_u = std::sqrt(too_high_variance(fitted));
  thigh.alignment->q_sensor_from_segment = thigh_frame;
  shank.alignment->q_sensor_from_segment = shank_frame;
  shank.alignment->start_heading = toe.heading;
  thigh.alignment->start_heading = toe.heading + fitted.hinge.heading_a_from_b;
  follow_segment(thigh);
  follow_segment(shank);
}

/// rad, 1 sigma: how far what a strap takes for the world may be tilted across the leg.
double tilt_across_sd(const PreparedStrap& strap, const Vector3d& axis, Index still) {
  const Vector3d z = strap.motion.q_world_from_sensor[static_cast<std::size_t>(still)] * axis;
  const Vector3d ahead = world_up().cross(z).normalized();
  return std::sqrt(level_variance(strap.still_tilt, ahead));
}

std::string no_hinge(NoHinge why, Side side) {
  const std::string knee = side == Side::left ? "left knee" : "right knee";
  switch (why) {
    case NoHinge::vertical_axis:
      return "the axis of the " + knee +
             " stays near vertical: nothing shows the thigh's heading against the shank's, so its "
             "flexion and knee line are not measured";
    case NoHinge::hardly_turns:
      return "the " + knee + " hardly bends: its axis is each strap's own and less certain";
    case NoHinge::too_little_data:
      break;
  }
  return "too few samples of the " + knee +
         " in motion: its axis is each strap's own and less certain";
}

}  // namespace

std::optional<std::string> align_leg(PreparedStrap& thigh, PreparedStrap& shank, const VectorXd& t,
                                     const ResolvedParts& parts, const std::vector<Index>& movement,
                                     const ErrorBudget& budget) {
  if (!thigh.alignment || !shank.alignment || !parts.still) return std::nullopt;
  const double guess = thigh.alignment->start_heading - shank.alignment->start_heading;
  auto hinge = find_hinge(thigh.motion, shank.motion, movement, guess);
  if (!hinge) {
    const std::string why = no_hinge(hinge.error(), thigh.placement.side);
    if (hinge.error() == NoHinge::vertical_axis) {
      shank.alignment.reset();
      shank.trouble = why;
    }
    return why;
  }
  const Vector3d z_before = thigh.alignment->q_sensor_from_segment * Vector3d::UnitZ();
  if (hinge->axis_a.dot(z_before) < 0.0) {
    hinge->axis_a = -hinge->axis_a;
    hinge->axis_b = -hinge->axis_b;
  }
  const auto thigh_up = up_in_sensor(thigh.motion, t, *parts.still);
  const auto shank_up = up_in_sensor(shank.motion, t, *parts.still);
  if (!thigh_up || !shank_up) return std::nullopt;
  const Side side = thigh.placement.side;
  const Index still = nearest_index(t, 0.5 * (parts.still->from_s + parts.still->to_s));
  const Eigen::Vector2d tilt_sd(tilt_across_sd(thigh, hinge->axis_a, still),
                                tilt_across_sd(shank, hinge->axis_b, still));
  LegHinge fitted = fit_leg_hinge(thigh.motion, shank.motion, movement, *hinge, *thigh_up,
                                  *shank_up, side, tilt_sd, budget);
  const Vector3d shank_y =
      frame_from(*shank_up, fitted.hinge.axis_b, fitted.tilt_b, side) * Vector3d::UnitY();
  const auto toe = toe_line(knee_path(thigh, *thigh_up, shank, shank_y, fitted, t, *parts.align),
                            budget, std::sqrt(too_high_variance(fitted)));
  if (!toe) {
    return "the bends hardly brought the " + std::string(side == Side::left ? "left" : "right") +
           " knee forwards: its toe line is less certain";
  }
  fitted = with_axis_b(fitted, toe->too_high, toe->too_high_variance, *thigh_up, *shank_up);
  level(thigh, fitted.hinge.axis_a, fitted.tilt_a);
  level(shank, fitted.hinge.axis_b, fitted.tilt_b);
  thigh.alignment->lean_u = kToeOutTangentSd * slant(*thigh_up, fitted.hinge.axis_a, fitted.tilt_a);
  shank.alignment->lean_u = kToeOutTangentSd * slant(*shank_up, fitted.hinge.axis_b, fitted.tilt_b);
  take_leg(thigh, shank, fitted, frame_from(*thigh_up, fitted.hinge.axis_a, fitted.tilt_a, side),
           frame_from(*shank_up, fitted.hinge.axis_b, fitted.tilt_b, side), *toe);
  return std::nullopt;
}

}  // namespace strapline::dsp
