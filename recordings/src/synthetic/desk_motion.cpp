#include "strapline/recordings/synthetic/desk_motion.hpp"

#include <array>
#include <numbers>

#include <Eigen/Geometry>

#include "strapline/recordings/synthetic/random.hpp"

#include "excursion.hpp"
#include "segment_frame.hpp"

namespace strapline::recordings::synthetic {
namespace {

using Eigen::AngleAxisd;
using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr double kQuarter = 0.5 * std::numbers::pi;

Matrix3d turned(const Vector3d& by) {
  if (by.norm() <= 0.0) return Matrix3d::Identity();
  return AngleAxisd(by.norm(), by.normalized()).toRotationMatrix();
}

/// On the six sides, each reached from the one before by a quarter of a turn or half of one; then
/// tilted any way.
Matrix3d next_side(int pose, Random& random, double squareness) {
  const Vector3d x = Vector3d::UnitX(), y = Vector3d::UnitY();
  const std::array<Vector3d, 5> turns{kQuarter * x, kQuarter * x, kQuarter * x, kQuarter * y,
                                      2.0 * kQuarter * y};
  if (pose < static_cast<int>(turns.size())) {
    const Vector3d askew = squareness * random.normal() * random.direction();
    return turned(turns.at(static_cast<std::size_t>(pose))) * turned(askew);
  }
  return turned(random.uniform(deg(60.0), deg(140.0)) * random.direction());
}

}  // namespace

DeskMotion::DeskMotion(const DeskParams& params) : params_(params), body_(lengths_of(BodyBuild{})) {
  constexpr std::uint64_t kStream = 40;
  Random random(params.seed, kStream);
  end_ = params.hold;
  for (int pose = 0; pose + 1 < params.poses; ++pose) {
    add_turn(next_side(pose, random, params.squareness));
  }
  for (int axis = 0; params.turns > 0 && axis < 3; ++axis) add_round(Vector3d::Unit(axis));
}

void DeskMotion::add_turn(const Matrix3d& turn) {
  const AngleAxisd about(turn);
  turns_.push_back({end_, params_.move, about.axis(), about.angle()});
  end_ += params_.move + params_.hold;
}

void DeskMotion::add_round(const Vector3d& axis) {
  turns_.push_back({end_, params_.turns * params_.move, axis, params_.turns * 4.0 * kQuarter});
  end_ += params_.turns * params_.move + params_.hold;
}

std::vector<Excursion> DeskMotion::excursions() const { return {}; }

PosedSegment DeskMotion::pose(dsp::Placement /*placement*/, double t) const {
  Matrix3<Jet> world_from_strap = Matrix3<Jet>::Identity();
  for (const Turn& turn : turns_) {
    const Jet share = smoothstep<Jet>((Jet::time(t) - Jet(turn.start)) / Jet(turn.duration));
    world_from_strap =
        Matrix3<Jet>(world_from_strap * turn_about<Jet>(turn.axis, Jet(turn.angle) * share));
  }
  return {{Vector3<Jet>::Zero(), world_from_strap}, 0.0};
}

}  // namespace strapline::recordings::synthetic
