#pragma once

#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/orientation_filter.hpp"

namespace strapline::dsp {

/// Orientation of one strap over a recording.
struct OrientationSeries {
  Eigen::VectorXd t;                                    ///< n, s
  std::vector<Eigen::Quaterniond> q_world_from_sensor;  ///< n; world Y up, own heading
  Eigen::VectorXd tilt_u;                               ///< n, rad, 1 sigma
  Eigen::VectorXd heading_u;                            ///< n, rad, 1 sigma, since the start
  Eigen::Vector3d gyr_bias = Eigen::Vector3d::Zero();   ///< rad/s, mean over the recording
  std::vector<char> at_rest;                            ///< n, 1 where the strap lay still
};

/// The streaming estimate at every sample.
[[nodiscard]] OrientationSeries streaming_orientation(const InertialSeries& series,
                                                      const OrientationParams& params = {});

/// The estimate from the whole recording: the same filter forwards, then backwards over its epochs
/// (Rauch, Tung & Striebel 1965); between epochs the gyroscope fills in.
[[nodiscard]] OrientationSeries smoothed_orientation(const InertialSeries& series,
                                                     const OrientationParams& params = {});

}  // namespace strapline::dsp
