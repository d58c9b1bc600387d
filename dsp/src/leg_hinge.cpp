#include "leg_hinge.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr double kViewEvery = 10.0;       // samples to one independent view of the axis (1 s)
constexpr double kMismatchFloor = 0.009;  // rad (0.5°): no knee is a better hinge than this
constexpr double kAxialTurnSd = 0.035;    // rad (2°) at full flexion: the shank turns inwards in a
                                          // bending knee, from client to client (round figure)
constexpr double kUpWhileStill =
    0.0044;  // rad (0.25°): sway and the sensor leave it that uncertain,
             // however square or firm what is stated of the client
constexpr int kRounds = 6;

// Unknowns, all rad: axes (along up, forwards), heading, common slant, rates per full flexion.
enum At : Index {
  a_up,
  a_ahead,
  b_up,
  b_ahead,
  heading,
  slant,
  a_rate,
  b_rate = a_rate + 2,
  count = 10
};
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

/// What one sample sees: turned into a's world, and how far the knee is bent (1: fully).
struct View {
  Matrix3d a, b;
  double bend;
};

class LegFit {
 public:
  LegFit(const Hinge& start, const Vector3d& up_a, const Vector3d& up_b, Side side,
         const ErrorBudget& budget)
      : hinge_(start),
        up_a_(up_a),
        up_b_(up_b),
        budget_(budget),
        usual_slant_(side == Side::left ? -budget.usual_slant : budget.usual_slant) {
    slant_ = 0.5 * (hinge_.axis_a.dot(up_a_) + hinge_.axis_b.dot(up_b_));
  }

  void step(const std::vector<View>& views) {
    const Tangent ta = tangent(hinge_.axis_a, up_a_), tb = tangent(hinge_.axis_b, up_b_);
    Information information = Information::Zero();
    Unknowns right = Unknowns::Zero();
    double squares = 0.0;
    const double weight = 1.0 / (kViewEvery * mismatch_ * mismatch_);
    for (const View& v : views) {
      Eigen::Matrix<double, 3, count> j = Eigen::Matrix<double, 3, count>::Zero();
      const Vector3d rate_a = rate_[0] * ta.up + rate_[1] * ta.ahead;
      const Vector3d rate_b = rate_[2] * tb.up + rate_[3] * tb.ahead;
      const Matrix3d b = turn_about_vertical(hinge_.heading_a_from_b).toRotationMatrix() * v.b;
      const Vector3d seen_b = b * (hinge_.axis_b + v.bend * rate_b);
      const Vector3d apart = v.a * (hinge_.axis_a + v.bend * rate_a) - seen_b;
      j.col(a_up) = v.a * ta.up;
      j.col(a_ahead) = v.a * ta.ahead;
      j.col(b_up) = -b * tb.up;
      j.col(b_ahead) = -b * tb.ahead;
      j.col(heading) = -world_up().cross(seen_b);
      for (Index k = 0; k < 2; ++k) {
        j.col(a_rate + k) = v.bend * j.col(a_up + k);
        j.col(b_rate + k) = v.bend * j.col(b_up + k);
      }
      information += weight * j.transpose() * j;
      right -= weight * j.transpose() * apart;
      squares += apart.squaredNorm() / static_cast<double>(views.size());
    }
    add_priors(ta, tb, information, right);
    const Eigen::LDLT<Information> solver(information);
    move(solver.solve(right), ta, tb);
    covariance_ = solver.solve(Information::Identity());
    mismatch_ = std::max(kMismatchFloor, std::sqrt(squares / 2.0));
  }

  [[nodiscard]] LegHinge result() const {
    LegHinge out{hinge_, std::sqrt(covariance_(a_up, a_up)), std::sqrt(covariance_(b_up, b_up))};
    out.hinge.mismatch = mismatch_ * std::sqrt(2.0);
    out.hinge.heading_u = std::sqrt(covariance_(heading, heading));
    const Index shared[3] = {a_up, b_up, heading};
    for (Index row = 0; row < 3; ++row) {
      for (Index column = 0; column < 3; ++column) {
        out.covariance(row, column) = covariance_(shared[row], shared[column]);
      }
    }
    return out;
  }

 private:
  static void add_prior(const Unknowns& gradient, double misfit, double sd,
                        Information& information, Unknowns& right) {
    sd = std::max(sd, kUpWhileStill);
    information += gradient * gradient.transpose() / (sd * sd);
    right -= gradient * misfit / (sd * sd);
  }

  void add_priors(const Tangent& ta, const Tangent& tb, Information& information,
                  Unknowns& right) const {
    const auto unit = [](Index k) { return Unknowns(Unknowns::Unit(k)); };
    add_prior(unit(slant), slant_ - usual_slant_,
              std::sqrt(budget_.stance_slant * budget_.stance_slant - usual_slant_ * usual_slant_),
              information, right);
    add_prior(ta.up.dot(up_a_) * unit(a_up) - unit(slant), hinge_.axis_a.dot(up_a_) - slant_,
              budget_.hinge_square, information, right);
    add_prior(tb.up.dot(up_b_) * unit(b_up) - unit(slant), hinge_.axis_b.dot(up_b_) - slant_,
              budget_.hinge_square, information, right);
    const double one_axis = 1.0 / std::sqrt(3.0);
    const double thigh = one_axis * budget_.soft_tissue_thigh;
    const double shank = one_axis * budget_.soft_tissue_limb;
    const double ahead = std::hypot(thigh, kAxialTurnSd);
    const double sd[4] = {thigh, ahead, shank, shank};
    for (Index k = 0; k < 4; ++k) {
      add_prior(unit(a_rate + k), rate_[k], sd[k], information, right);
    }
  }

  void move(const Unknowns& x, const Tangent& ta, const Tangent& tb) {
    hinge_.axis_a = (hinge_.axis_a + x[a_up] * ta.up + x[a_ahead] * ta.ahead).normalized();
    hinge_.axis_b = (hinge_.axis_b + x[b_up] * tb.up + x[b_ahead] * tb.ahead).normalized();
    hinge_.heading_a_from_b = wrap_angle(hinge_.heading_a_from_b + x[heading]);
    slant_ += x[slant];
    rate_ += x.segment<4>(a_rate);
  }

  Hinge hinge_;
  Vector3d up_a_, up_b_;
  const ErrorBudget& budget_;
  double usual_slant_;  ///< rad, of Z upwards: a right leg's tilts so, a left one's the other way
  double slant_ = 0.0;
  Eigen::Vector4d rate_ = Eigen::Vector4d::Zero();
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

LegHinge fit_leg_hinge(const GridMotion& a, const GridMotion& b, const std::vector<Index>& samples,
                       const Hinge& start, const Vector3d& up_a, const Vector3d& up_b, Side side,
                       const ErrorBudget& budget) {
  std::vector<View> views;
  for (const Index i : samples) {
    const auto at = static_cast<std::size_t>(i);
    if (a.known[at] == 0 || b.known[at] == 0) continue;
    const Matrix3d ra = a.q_world_from_sensor[at].toRotationMatrix();
    const Matrix3d rb = b.q_world_from_sensor[at].toRotationMatrix();
    views.push_back({ra, rb, bend_of(ra, rb, start, up_a, up_b)});
  }
  LegFit fit(start, up_a, up_b, side, budget);
  for (int round = 0; round < kRounds; ++round) fit.step(views);
  return fit.result();
}

}  // namespace strapline::dsp
