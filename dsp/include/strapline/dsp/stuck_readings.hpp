#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/inertial_series.hpp"

namespace strapline::dsp {

/// Finds readings that stand still although they say that the sensor moves: a part or a link that
/// repeats its last reading. Six values that are the same to the last bit for a tenth of a second
/// do not occur while a sensor turns, since gravity turns with it; a sensor at rest may well repeat
/// itself and is left alone.
class StuckDetector {
 public:
  /// Time in s, rad/s and m/s². True from the reading on with which it is clear.
  bool update(double t_s, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc);
  /// Since when all readings are the same, s.
  [[nodiscard]] double since_s() const { return since_s_; }

 private:
  Eigen::Vector3d gyr_ = Eigen::Vector3d::Zero(), acc_ = Eigen::Vector3d::Zero();
  double since_s_ = 0.0;
  int same_ = 0;  ///< readings
};

/// Takes stuck readings out of the series, all but the first of each stretch, which may be true;
/// the reading after one is flagged as after a gap. Returns the stretches, s.
std::vector<Interval> remove_stuck_readings(InertialSeries& series);

}  // namespace strapline::dsp
