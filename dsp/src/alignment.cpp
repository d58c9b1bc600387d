#include "strapline/dsp/alignment.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Eigenvalues>

#include "strapline/dsp/rotation.hpp"

#include "square.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

// Two or three bends are asked for; their scatter counts as that of so many independent ones.
constexpr double kIndependentBends = 2.0;

constexpr double kUpright = 0.1;  // rad (6°): a bend has not begun, or is over

template <class Use>
void for_known(const GridMotion& motion, const VectorXd& t, const Interval& within, Use use) {
  const Index last = nearest_index(t, within.to_s);
  for (Index i = nearest_index(t, within.from_s); i <= last; ++i) {
    if (motion.known[static_cast<std::size_t>(i)] != 0) {
      use(motion.q_world_from_sensor[static_cast<std::size_t>(i)]);
    }
  }
}

/// Mean of orientations: top eigenvector of Σ q qᵀ (Markley 2007).
std::optional<Quaterniond> mean_orientation(const GridMotion& motion, const VectorXd& t,
                                            const Interval& within) {
  Eigen::Matrix4d sum = Eigen::Matrix4d::Zero();
  for_known(motion, t, within,
            [&](const Quaterniond& q) { sum += q.coeffs() * q.coeffs().transpose(); });
  if (sum.isZero()) return std::nullopt;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix4d> solver(sum);
  return Quaterniond(Eigen::Vector4d(solver.eigenvectors().col(3)));
}

/// Principal horizontal direction of the rotations away from standing.
struct PrincipalTurn {
  Vector3d axis =
      Vector3d::UnitZ();  ///< world, horizontal; sign: the mean turn is positive about it
  double along = 0.0;     ///< rad², sum
  double spread = 0.0;    ///< rad², of the direction; samples weigh as much as they decide it
  double furthest = 0.0;  ///< rad
};

PrincipalTurn principal_turn(const GridMotion& motion, const VectorXd& t, const Quaterniond& rest,
                             const Interval& within) {
  std::vector<Eigen::Vector2d> turns;
  Eigen::Vector2d upright = Eigen::Vector2d::Zero(), sum = Eigen::Vector2d::Zero();
  double count = 0.0;
  PrincipalTurn result;
  for_known(motion, t, within, [&](const Quaterniond& q) {
    const Vector3d turn = log_rotation(q * rest.conjugate());
    turns.emplace_back(turn.x(), turn.z());
    const double size = turns.back().norm();
    sum += size * turns.back();
    result.furthest = std::max(result.furthest, size);
    if (size > kUpright) return;
    upright += turns.back();
    count += 1.0;
  });
  // Who sways stands otherwise now than while still.
  if (count > 0.0) upright /= count;
  Eigen::Matrix2d scatter = Eigen::Matrix2d::Zero();
  for (Eigen::Vector2d& flat : turns) {
    flat -= upright;
    scatter += flat * flat.transpose();
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> solver(scatter);
  Eigen::Vector2d direction = solver.eigenvectors().col(1);
  if (direction.dot(sum) < 0.0) direction = -direction;
  result.axis = Vector3d(direction.x(), 0.0, direction.y());
  result.along = solver.eigenvalues()[1];
  const Eigen::Vector2d aside(-direction.y(), direction.x());
  double spread = 0.0, weights = 0.0;
  for (const Eigen::Vector2d& flat : turns) {
    const double along = square(flat.dot(direction));
    spread += along * square(flat.dot(aside));
    weights += along * along;
  }
  if (weights > 0.0) result.spread = spread / weights;
  return result;
}

}  // namespace

std::optional<Vector3d> up_in_sensor(const GridMotion& motion, const VectorXd& t,
                                     const Interval& still) {
  Vector3d sum = Vector3d::Zero();
  for_known(motion, t, still, [&](const Quaterniond& q) { sum += q.conjugate() * world_up(); });
  if (sum.norm() < 1e-9) return std::nullopt;
  return sum.normalized();
}

double upright_turn(const GridMotion& motion, const VectorXd& t, const Interval& still,
                    const Interval& movement) {
  const auto rest = mean_orientation(motion, t, still);
  double furthest = 0.0;
  if (!rest) return furthest;
  for_known(motion, t, movement, [&](const Quaterniond& q) {
    furthest = std::max(furthest, std::abs(log_rotation(q * rest->conjugate()).y()));
  });
  return furthest;
}

std::optional<SegmentAlignment> align_to_segment(const GridMotion& motion, const VectorXd& t,
                                                 const Interval& still, const Interval& movement,
                                                 double away_sign) {
  const auto up = up_in_sensor(motion, t, still);
  const auto rest = mean_orientation(motion, t, still);
  if (!up || !rest) return std::nullopt;
  const PrincipalTurn turn = principal_turn(motion, t, *rest, movement);
  if (turn.furthest < kLeastAlignTurn || turn.along <= 0.0) return std::nullopt;

  const Vector3d z_world = away_sign * turn.axis;
  const Vector3d y = *up;
  const Vector3d z =
      (rest->conjugate() * z_world - y * y.dot(rest->conjugate() * z_world)).normalized();
  Eigen::Matrix3d sensor_from_segment;
  sensor_from_segment << y.cross(z), y, z;

  SegmentAlignment result;
  result.q_sensor_from_segment = Quaterniond(sensor_from_segment);
  const Vector3d forward = *rest * y.cross(z);
  result.start_heading = std::atan2(-forward.z(), forward.x());
  result.axis_u = std::sqrt(turn.spread / kIndependentBends);
  result.turn = turn.furthest;
  return result;
}

}  // namespace strapline::dsp
