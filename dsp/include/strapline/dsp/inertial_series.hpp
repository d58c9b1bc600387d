#pragma once

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/placement.hpp"

namespace strapline::dsp {

/// Bits of InertialSeries::flags.
enum SampleFlag : std::uint8_t {
  kSampleGood = 0,
  kAccelerometerSaturated = 1,  ///< a component stands at the end of its scale
  kGyroscopeSaturated = 2,
  kAfterGap = 4,  ///< samples are missing between the one before and this one
};

/// One strap's readings on the common time base. All columns have n samples.
struct InertialSeries {
  Eigen::VectorXd t;     ///< n, seconds, strictly increasing; may be irregular
  Eigen::Matrix3Xd acc;  ///< 3×n, specific force, m/s², sensor frame (+g upwards at rest)
  Eigen::Matrix3Xd gyr;  ///< 3×n, angular rate, rad/s, sensor frame
  std::vector<std::uint8_t> flags;  ///< n SampleFlag bits, or empty: all good

  [[nodiscard]] Eigen::Index size() const { return t.size(); }
};

/// What is known of a part's errors, one sigma each.
struct SensorErrors {
  double gyr_noise_density =
      1.2e-4;  ///< rad/s/√Hz (7 mdps/√Hz: the worse end of common parts, datasheets)
  double acc_noise_density = 2.0e-3;  ///< m/s²/√Hz (about 200 µg/√Hz, datasheets)
  double gyr_bias_sd = 0.02;          ///< rad/s, before any calibration (about 1 °/s)
  double acc_bias_sd = 0.1;           ///< m/s² (about 10 mg, datasheets)
  /// s: how far readings lag behind the movement they are stamped with (the part's own low-pass
  /// filter); 0 for an ideal or simulated part. The default was measured: against two open optical
  /// data sets (BROAD at 286 Hz, a hand-held stick at 100 Hz) the inclination error is least when
  /// the orientation is advanced by 4 ms.
  double reading_lag = 0.004;
  /// 1, constant error of each entry of the gyroscope's gain (scale and cross-axis). Between common
  /// parts (0.5 %) and old cheap ones (1.5 %): it is how well a turn links two postures.
  double gyr_gain_sd = 0.0075;
  /// 1, so much one axis of the accelerometer shows of each other, constant: a third of the 1 %
  /// that datasheets name at most (from memory).
  double acc_cross_axis_sd = 0.003;
};

/// A stretch of the common time, seconds.
struct Interval {
  double from_s = 0.0;
  double to_s = 0.0;
  [[nodiscard]] double length() const { return to_s - from_s; }
};

/// One strap: where it sits and what it read.
struct StrapSeries {
  Placement placement;
  InertialSeries data;
  SensorErrors errors;
  std::vector<Interval> stuck = {};  ///< where it repeated one reading: left out of the data
};

}  // namespace strapline::dsp
