#pragma once

#include <optional>
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
  /// 3 × n, rad²: variance of the tilt about the world's X, its covariance with that about Z, and
  /// that variance; tilt_u is of their mean, with its floor. Smoothed only, else empty.
  Eigen::Matrix3Xd tilt_covariance;
  /// Same of the instant that was asked for, its own and, 4 × n, with the tilt at each sample: of X
  /// then with X and Z now, of Z then with X and Z now. Empty where none was asked for.
  Eigen::Vector3d reference_tilt = Eigen::Vector3d::Zero();
  Eigen::Matrix4Xd tilt_with_reference;
  Eigen::VectorXd vertical_velocity;                   ///< n, m/s, positive up
  Eigen::Vector3d gyr_bias = Eigen::Vector3d::Zero();  ///< rad/s, mean over the recording
  /// (m/s²)², sensor: how well the accelerometer's offset is known in the end.
  Eigen::Matrix3d acc_bias_covariance = Eigen::Matrix3d::Zero();
  std::vector<char> at_rest;  ///< n, 1 where the strap lay still
};

/// The streaming estimate at every sample.
[[nodiscard]] OrientationSeries streaming_orientation(const InertialSeries& series,
                                                      const OrientationParams& params = {});

/// The estimate from the whole recording: the same filter forwards, then backwards over its epochs
/// (fixed-interval smoothing after Bryson & Frazier, in Bierman's modified form of 1977 (from
/// memory), which equals Rauch, Tung & Striebel's); between epochs the gyroscope fills in. An
/// object keeps its working memory from one recording to the next.
class OrientationSmoother {
 public:
  /// Entries of the error state that are smoothed: all up to the gyroscope's gain.
  static constexpr int kSmoothed = error_index::kAccBias;

  /// What is kept of one closed epoch.
  struct EpochRecord {
    Eigen::Index last_sample = 0;
    MotionState motion;                                               ///< filtered, then smoothed
    Eigen::Matrix<double, error_index::kSize, kSmoothed> covariance;  ///< same, its θ block
    EpochTransition transition;                  ///< how the epoch before led here
    std::size_t views_begin = 0, views_end = 0;  ///< the views taken in here
    /// Covariance; rows: θ at the reference, rad; columns: the filtered error state here (units of
    /// error_index), and once smoothed, of θ, rad, alone.
    ThreeErrors with_reference = ThreeErrors::Zero();
    bool at_rest = false;
  };

  explicit OrientationSmoother(const OrientationParams& params = {}) : params_(params) {}
  /// With `reference_s`, s, also how the tilt's errors at all samples go with those of then.
  [[nodiscard]] OrientationSeries smooth(const InertialSeries& series,
                                         std::optional<double> reference_s = std::nullopt);
  void set_params(const OrientationParams& params) { params_ = params; }

 private:
  void run_forward(const InertialSeries& series, Eigen::Index samples, OrientationFilter& filter);
  [[nodiscard]] MotionState smoothed_start() const;
  [[nodiscard]] std::size_t record_at(const InertialSeries& series, double time_s) const;
  void carry_reference(std::size_t reference);
  void run_backward(std::optional<std::size_t> reference);

  OrientationParams params_;
  std::vector<EpochRecord> records_;
  std::vector<BlockUpdate> views_;
};

/// The same, for one recording.
[[nodiscard]] OrientationSeries smoothed_orientation(const InertialSeries& series,
                                                     const OrientationParams& params = {});

}  // namespace strapline::dsp
