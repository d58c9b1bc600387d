#include "leg_hinge.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr double kViewEvery = 10.0;  // samples to one independent view of the axis (1 s)
// Round figures of how a knee is no hinge, rad. A bone turns about its own length as the knee
// bends, from client to client: in proportion to that (at full flexion) and beside it. Out of
// square it turns little. What is left from one view to the next is no function of the bend.
constexpr double kAxialTurnSd = 0.035;    // 2°
constexpr double kAxialCurveSd = 0.0131;  // 0.75°, as in the simulator
// 1, of how square the axis is: 0.25° of the usual 1.5°.
constexpr double kSquareTurnShare = 1.0 / 6.0;
constexpr double kSquareTurnFloor = 0.0022;  // 0.125°: however square what is stated
constexpr double kMismatchFloor = 0.0009;    // 0.05°: a sensor's noise; what is more shows
constexpr double kSquareUnheld = 0.15;       // 1
constexpr double kUpWhileStill =
    0.0044;                          // rad (0.25°): sway and the sensor leave it that uncertain,
                                     // however square or firm what is stated of the client
constexpr int kRounds = 25;          // at most; six or so usually do
constexpr double kConverged = 1e-5;  // rad

// Unknowns, all rad: axes with the leg straight (towards up, ahead), heading, common slant, tilts
// of the two worlds, and of each of the four axis directions how it turns with the bend, by the
// three shapes.
enum At : Index {
  a_up,
  a_ahead,
  b_up,
  b_ahead,
  heading,
  slant,
  tilt_a,
  tilt_b,
  turns,
  shapes = 3,
  count = turns + 4 * shapes
};
/// Where the turn of direction a_up to b_ahead begins.
constexpr Index turn_of(Index direction) { return turns + shapes * direction; }

using Unknowns = Eigen::Matrix<double, count, 1>;
using Information = Eigen::Matrix<double, count, count>;

/// Directions in which an axis can err: towards up, and ahead of it.
struct Tangent {
  Vector3d up, ahead;
};

Tangent tangent(const Vector3d& axis, const Vector3d& up) {
  const Vector3d y = (up - axis * axis.dot(up)).normalized();
  return {y, y.cross(axis)};
}

/// A direction and how it changes with what is added to it before it is brought to length 1. Of
/// that last all counts: a turn leaves an axis as long as it was, and what hardly shows is far off
/// before a fit sees it.
struct Direction {
  explicit Direction(const Vector3d& sum)
      : at(sum.normalized()), by_sum((Matrix3d::Identity() - at * at.transpose()) / sum.norm()) {}
  Vector3d at;
  Matrix3d by_sum;
};

/// What one sample sees: turned into a's world, and how far the knee is bent (1: fully).
struct View {
  Matrix3d a, b;
  double bend;
};

class LegFit {
 public:
  LegFit(const Hinge& start, const Vector3d& up_a, const Vector3d& up_b, Side side,
         const Eigen::Vector2d& tilt_sd, const ErrorBudget& budget)
      : hinge_(start),
        up_a_(up_a),
        up_b_(up_b),
        budget_(budget),
        tilt_sd_(tilt_sd),
        usual_slant_(side == Side::left ? -budget.usual_slant : budget.usual_slant) {
    slant_ = 0.5 * (hinge_.axis_a.dot(up_a_) + hinge_.axis_b.dot(up_b_));
  }

  /// One round; rad, how far all unknowns have moved together.
  double step(const std::vector<View>& views) {
    const Tangent ta = tangent(hinge_.axis_a, up_a_), tb = tangent(hinge_.axis_b, up_b_);
    Information information = Information::Zero();
    Unknowns right = Unknowns::Zero();
    double squares = 0.0;
    const double weight = 1.0 / (kViewEvery * mismatch_ * mismatch_);
    for (const View& v : views) {
      const Mismatch m = mismatch_in(v, ta, tb);
      const Eigen::Matrix<double, count, 3> by = m.by_unknowns.transpose();
      for (int axis = 0; axis < 3; ++axis) {
        information += (weight * by.col(axis)).lazyProduct(by.col(axis).transpose());
      }
      right -= weight * m.by_unknowns.transpose() * m.apart;
      squares += m.apart.squaredNorm() / static_cast<double>(views.size());
    }
    add_priors(ta, tb, information, right);
    const Eigen::LDLT<Information> solver(information);
    const Unknowns moved = solver.solve(right);
    move(moved, ta, tb);
    covariance_ = solver.solve(Information::Identity());
    mismatch_ = std::max(mismatch_floor(), std::sqrt(squares / 2.0));
    return moved.norm();
  }

  [[nodiscard]] LegHinge result() const {
    LegHinge out{hinge_};
    out.hinge.mismatch = mismatch_ * std::sqrt(2.0);
    out.hinge.heading_u = std::sqrt(covariance_(heading, heading));
    out.tilt_a = tilt_[0];
    out.tilt_b = tilt_[1];
    const std::array<Index, kHingeErrors> shared{a_up,
                                                 b_up,
                                                 heading,
                                                 tilt_a,
                                                 tilt_b,
                                                 turn_of(a_up),
                                                 turn_of(a_up) + 1,
                                                 turn_of(a_up) + 2,
                                                 turn_of(b_up),
                                                 turn_of(b_up) + 1,
                                                 turn_of(b_up) + 2};
    out.covariance = covariance_(shared, shared);
    out.turns << turns_.row(a_up).transpose(), turns_.row(b_up).transpose();
    return out;
  }

 private:
  struct Mismatch {
    Vector3d apart;                               ///< a's axis less b's, in a's levelled world
    Eigen::Matrix<double, 3, count> by_unknowns;  ///< its derivative
  };

  [[nodiscard]] Mismatch mismatch_in(const View& v, const Tangent& ta, const Tangent& tb) const {
    const Vector3d shape = bend_shapes(v.bend);
    const Eigen::Vector4d turned = turns_ * shape;
    const Direction axis_a(hinge_.axis_a + turned[0] * ta.up + turned[1] * ta.ahead);
    const Direction axis_b(hinge_.axis_b + turned[2] * tb.up + turned[3] * tb.ahead);
    const Matrix3d b = turn_about_vertical(hinge_.heading_a_from_b).toRotationMatrix() * v.b;
    const Direction seen_a(v.a * axis_a.at + tilt_[0] * world_up());
    const Direction seen_b(b * axis_b.at + tilt_[1] * world_up());
    const Matrix3d by_a = seen_a.by_sum * v.a * axis_a.by_sum;
    const Matrix3d by_b = -seen_b.by_sum * b * axis_b.by_sum;
    Mismatch m{seen_a.at - seen_b.at, Eigen::Matrix<double, 3, count>::Zero()};
    auto& j = m.by_unknowns;
    j.col(a_up) = by_a * ta.up;
    j.col(a_ahead) = by_a * ta.ahead;
    j.col(b_up) = by_b * tb.up;
    j.col(b_ahead) = by_b * tb.ahead;
    j.col(heading) = -world_up().cross(seen_b.at);
    j.col(tilt_a) = seen_a.by_sum * world_up();
    j.col(tilt_b) = -seen_b.by_sum * world_up();
    for (Index k = a_up; k <= b_ahead; ++k) {
      j.middleCols<shapes>(turn_of(k)) = j.col(k) * shape.transpose();
    }
    return m;
  }

  /// rad, of what is stated of how the client stands.
  static double up_sd(double stated) { return std::max(stated, kUpWhileStill); }

  static void add_prior(const Unknowns& gradient, double misfit, double sd,
                        Information& information, Unknowns& right) {
    information += gradient * gradient.transpose() / (sd * sd);
    right -= gradient * misfit / (sd * sd);
  }

  void add_priors(const Tangent& ta, const Tangent& tb, Information& information,
                  Unknowns& right) const {
    const auto unit = [](Index k) { return Unknowns(Unknowns::Unit(k)); };
    add_prior(
        unit(slant), slant_ - usual_slant_,
        up_sd(std::sqrt(budget_.stance_slant * budget_.stance_slant - usual_slant_ * usual_slant_)),
        information, right);
    add_prior(unit(tilt_a), tilt_[0], up_sd(tilt_sd_[0]), information, right);
    add_prior(unit(tilt_b), tilt_[1], up_sd(tilt_sd_[1]), information, right);
    add_prior(ta.up.dot(up_a_) * unit(a_up) + unit(tilt_a) - unit(slant),
              hinge_.axis_a.dot(up_a_) + tilt_[0] - slant_, up_sd(budget_.hinge_square),
              information, right);
    add_prior(tb.up.dot(up_b_) * unit(b_up) + unit(tilt_b) - unit(slant),
              hinge_.axis_b.dot(up_b_) + tilt_[1] - slant_, up_sd(budget_.hinge_square),
              information, right);
    const Eigen::Matrix<double, 4, shapes> sd = turn_sd();
    for (Index k = a_up; k <= b_ahead; ++k) {
      for (Index n = 0; n < shapes; ++n) {
        add_prior(unit(turn_of(k) + n), turns_(k, n), sd(k, n), information, right);
      }
    }
  }

  /// rad, of a turn of which `sd` is about one axis: what it does in the second order.
  static double square_of_turn(double sd) { return 1.5 * sd * sd; }

  /// rad. Of large turns' squares the shapes hold most, not all.
  [[nodiscard]] double mismatch_floor() const {
    const double thigh = soft_tissue_per_axis(budget_, Segment::thigh);
    const double shank = soft_tissue_per_axis(budget_, Segment::shank);
    return std::hypot(kMismatchFloor, kSquareUnheld * square_of_turn(thigh),
                      kSquareUnheld * square_of_turn(shank));
  }

  /// Prior of the turns. Soft tissue goes with the bend, but so far that the square of its turn
  /// counts, which does not.
  [[nodiscard]] Eigen::Matrix<double, 4, shapes> turn_sd() const {
    const double thigh = soft_tissue_per_axis(budget_, Segment::thigh);
    const double shank = soft_tissue_per_axis(budget_, Segment::shank);
    const double thigh_square = square_of_turn(thigh), shank_square = square_of_turn(shank);
    const double square = std::max(kSquareTurnFloor, kSquareTurnShare * budget_.hinge_square);
    const Eigen::Vector4d rate(std::hypot(square, thigh), std::hypot(thigh, kAxialTurnSd),
                               std::hypot(square, shank), std::hypot(square, shank));
    const Eigen::Vector4d curve(
        std::hypot(square, thigh_square), std::hypot(kAxialCurveSd, thigh_square),
        std::hypot(square, shank_square), std::hypot(kAxialCurveSd, shank_square));
    Eigen::Matrix<double, 4, shapes> sd;
    sd << rate, curve, curve;
    return sd;
  }

  void move(const Unknowns& x, const Tangent& ta, const Tangent& tb) {
    hinge_.axis_a = (hinge_.axis_a + x[a_up] * ta.up + x[a_ahead] * ta.ahead).normalized();
    hinge_.axis_b = (hinge_.axis_b + x[b_up] * tb.up + x[b_ahead] * tb.ahead).normalized();
    hinge_.heading_a_from_b = wrap_angle(hinge_.heading_a_from_b + x[heading]);
    slant_ += x[slant];
    tilt_ += x.segment<2>(tilt_a);
    for (Index k = a_up; k <= b_ahead; ++k) turns_.row(k) += x.segment<shapes>(turn_of(k));
  }

  Hinge hinge_;
  Vector3d up_a_, up_b_;
  const ErrorBudget& budget_;
  Eigen::Vector2d tilt_sd_;
  double usual_slant_;  ///< rad, of Z upwards: a right leg's tilts so, a left one's the other way
  double slant_ = 0.0;
  Eigen::Vector2d tilt_ = Eigen::Vector2d::Zero();
  Eigen::Matrix<double, 4, shapes> turns_ = Eigen::Matrix<double, 4, shapes>::Zero();
  double mismatch_ = 0.02;
  Information covariance_ = Information::Zero();
};

/// How far b has turned about the hinge, against a, from the straight leg; 1 at full flexion.
double bend_of(const Matrix3d& a, const Matrix3d& b, const Hinge& hinge, const Vector3d& up_a,
               const Vector3d& up_b) {
  const Matrix3d level = turn_about_vertical(hinge.heading_a_from_b).toRotationMatrix();
  const Vector3d axis = a * hinge.axis_a, y_a = a * up_a, y_b = level * b * up_b;
  const double turned = std::atan2(axis.dot(y_a.cross(y_b)), y_a.dot(y_b));
  return std::clamp(std::abs(turned) / kFullFlexion, 0.0, 1.5);
}

}  // namespace

Vector3d bend_shapes(double bend) {
  const double turn = std::numbers::pi * bend;
  return {bend, std::sin(turn), std::sin(2.0 * turn)};
}

double too_high_variance(const LegHinge& leg) {
  return leg.covariance(kHingeAxisB, kHingeAxisB) + leg.covariance(kHingeTiltB, kHingeTiltB) +
         2.0 * leg.covariance(kHingeAxisB, kHingeTiltB);
}

LegHinge with_axis_b(const LegHinge& leg, double too_high, double variance, const Vector3d& up_a,
                     const Vector3d& up_b) {
  const double before = too_high_variance(leg);
  const HingeErrors share =
      (leg.covariance.col(kHingeAxisB) + leg.covariance.col(kHingeTiltB)) / before;
  const HingeErrors shift = -too_high * share;
  LegHinge out = leg;
  Hinge& h = out.hinge;
  h.axis_a = (h.axis_a + shift[kHingeAxisA] * tangent(h.axis_a, up_a).up).normalized();
  h.axis_b = (h.axis_b + shift[kHingeAxisB] * tangent(h.axis_b, up_b).up).normalized();
  h.heading_a_from_b = wrap_angle(h.heading_a_from_b + shift[kHingeHeading]);
  out.tilt_a += shift[kHingeTiltA];
  out.tilt_b += shift[kHingeTiltB];
  out.turns += shift.tail<6>();
  out.covariance -= share * share.transpose() * (before - variance);
  h.heading_u = std::sqrt(out.covariance(kHingeHeading, kHingeHeading));
  return out;
}

LegHinge fit_leg_hinge(const GridMotion& a, const GridMotion& b, const std::vector<Index>& samples,
                       const Hinge& start, const Vector3d& up_a, const Vector3d& up_b, Side side,
                       const Eigen::Vector2d& tilt_sd, const ErrorBudget& budget) {
  std::vector<View> views;
  for (const Index i : samples) {
    const auto at = static_cast<std::size_t>(i);
    if (a.known[at] == 0 || b.known[at] == 0) continue;
    const Matrix3d ra = a.q_world_from_sensor[at].toRotationMatrix();
    const Matrix3d rb = b.q_world_from_sensor[at].toRotationMatrix();
    views.push_back({ra, rb, bend_of(ra, rb, start, up_a, up_b)});
  }
  LegFit fit(start, up_a, up_b, side, tilt_sd, budget);
  for (int round = 0; round < kRounds; ++round) {
    if (fit.step(views) < kConverged) break;
  }
  return fit.result();
}

}  // namespace strapline::dsp
