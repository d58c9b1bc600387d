#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/orientation_filter.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

inline constexpr double kLiveRate = 100.0;  // Hz, of the grid of the live count

/// The uniform times that all straps share, s; grows ahead of the newest reading.
class LiveGrid {
 public:
  /// Makes the grid reach `time_s`; the first call says where it begins.
  void reach(double time_s);
  [[nodiscard]] bool empty() const { return t_.size() == 0; }
  [[nodiscard]] const Eigen::VectorXd& t() const { return t_; }
  [[nodiscard]] double from_s() const { return t_[0]; }
  /// Index of the last grid time that is not after `time_s`; −1 before the first.
  [[nodiscard]] Eigen::Index at(double time_s) const;

 private:
  Eigen::VectorXd t_;
};

/// One strap's orientation as its readings come in: streaming filter, then the grid. Where it has
/// no readings the last orientation stays, not known.
class LiveMotion {
 public:
  explicit LiveMotion(const OrientationParams& params = {}) : filter_(params) {}

  /// As OrientationFilter::update, with the time in s on the common clock; readings that go back in
  /// time are left out.
  void update(double t_s, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc, bool trusted,
              LiveGrid& grid);
  /// Fills the grid up to index `last` where the strap has fallen behind.
  void wait_until(Eigen::Index last);

  [[nodiscard]] const GridMotion& motion() const { return motion_; }
  [[nodiscard]] Eigen::Index filled() const {
    return static_cast<Eigen::Index>(motion_.known.size());
  }
  [[nodiscard]] double newest_s() const { return newest_s_; }
  [[nodiscard]] bool started() const { return filter_.state().started; }
  /// The stretch [from, to) of the orientation, with no uncertainty and no velocity stated.
  [[nodiscard]] GridMotion stretch(Eigen::Index from, Eigen::Index to) const;

 private:
  void push(const Eigen::Quaterniond& q, bool known);

  OrientationFilter filter_;
  GridMotion motion_;  ///< tilt_u, heading_u and vertical_velocity stay empty
  Eigen::Quaterniond last_q_ = Eigen::Quaterniond::Identity();
  double newest_s_ = 0.0;
};

}  // namespace strapline::dsp
