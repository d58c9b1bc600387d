// Calibration at the desk: against sensors with known errors, and against published results on open
// data. Data: outside the project, see the README of its folder for sources and licences.
#include "strapline/dsp/calibration.hpp"

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <numbers>
#include <random>
#include <sstream>

#include <Eigen/Dense>
#include <Eigen/Geometry>
#include <gmock/gmock.h>

#include "strapline/dsp/calibrated.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;
using ::testing::HasSubstr;

constexpr double kDegree = std::numbers::pi / 180.0;

/// What a made-up sensor gets wrong: reading = gain · true + offset.
struct Faults {
  Matrix3d acc_gain = Matrix3d::Identity(), gyr_gain = Matrix3d::Identity();
  Vector3d acc_offset = Vector3d::Zero(), gyr_offset = Vector3d::Zero();
};

Faults some_faults() {
  Faults faults;
  faults.acc_gain << 1.01, 0.004, -0.006, 0.004, 0.985, 0.005, -0.006, 0.005, 1.02;
  faults.acc_offset = {0.21, -0.33, 0.12};
  faults.gyr_gain.diagonal() << 1.02, 0.97, 1.01;
  faults.gyr_offset = {0.02, -0.035, 0.011};
  return faults;
}

/// A strap at a desk: poses of three seconds, turns of two seconds in between.
class Desk {
 public:
  explicit Desk(const Faults& faults, unsigned seed = 1) : faults_(faults), random_(seed) {}

  void hold(double seconds) { move(Vector3d::Zero(), seconds); }
  void turn(const Vector3d& rotation, double seconds = 2.0) { move(rotation, seconds); }

  [[nodiscard]] InertialSeries series() const {
    InertialSeries s;
    const auto n = static_cast<Index>(acc_.size());
    s.t = Eigen::VectorXd::LinSpaced(n, 0.0, static_cast<double>(n - 1) / kRate);
    s.acc.resize(3, n);
    s.gyr.resize(3, n);
    for (Index i = 0; i < n; ++i) {
      s.acc.col(i) = acc_[static_cast<std::size_t>(i)];
      s.gyr.col(i) = gyr_[static_cast<std::size_t>(i)];
    }
    return s;
  }

 private:
  // The rate rises and falls as a raised cosine, as hands turn things.
  void move(const Vector3d& rotation, double seconds) {
    const int n = static_cast<int>(seconds * kRate);
    for (int i = 0; i < n; ++i) {
      const double share = (1.0 - std::cos(2.0 * std::numbers::pi * (i + 0.5) / n)) / n;
      const Vector3d step = rotation * share;
      const Vector3d up = attitude_.conjugate() * Vector3d(0.0, 0.0, kStandardGravity);
      acc_.push_back(faults_.acc_gain * up + faults_.acc_offset + noise(0.02));
      gyr_.push_back(faults_.gyr_gain * step * kRate + faults_.gyr_offset + noise(0.001));
      if (step.norm() > 0.0)
        attitude_ = attitude_ * Eigen::AngleAxisd(step.norm(), step.normalized());
    }
    attitude_.normalize();
  }
  Vector3d noise(double sd) {
    std::normal_distribution<double> normal(0.0, sd);
    return {normal(random_), normal(random_), normal(random_)};
  }

  static constexpr double kRate = 100.0;
  Faults faults_;
  std::mt19937 random_;
  Eigen::Quaterniond attitude_ = Eigen::Quaterniond::Identity();
  std::vector<Vector3d> acc_, gyr_;
};

const Vector3d kX = Vector3d::UnitX(), kY = Vector3d::UnitY(), kZ = Vector3d::UnitZ();

/// Each side down, then nine tilted poses between.
Desk many_poses(const Faults& faults, unsigned seed = 1) {
  Desk desk(faults, seed);
  const double quarter = 0.5 * std::numbers::pi;
  desk.hold(3.0);
  for (int i = 0; i < 4; ++i) {
    desk.turn(quarter * kX);
    desk.hold(3.0);
  }
  for (int i = 0; i < 3; ++i) {
    desk.turn(quarter * kY);
    desk.hold(3.0);
  }
  for (int i = 0; i < 9; ++i) {
    desk.turn(Vector3d(0.9, i % 2 == 0 ? 0.7 : -1.1, 0.4 * (i % 3)));
    desk.hold(3.0);
  }
  return desk;
}

TEST(Calibration, NormalGravityIsThatOfTheEllipsoid) {
  // NIMA TR8350.2, tables 3.4: 9.7803253359 at the equator, 9.8321849378 at the poles.
  EXPECT_NEAR(normal_gravity(0.0), 9.7803253359, 1e-10);
  EXPECT_NEAR(normal_gravity(90.0 * kDegree), 9.8321849378, 1e-9);
  EXPECT_EQ(normal_gravity(-0.8), normal_gravity(0.8));
}

TEST(Calibration, FindsTheFaultsWithinWhatItStates) {
  const Faults faults = some_faults();
  const Matrix3d truth = faults.acc_gain.inverse();
  for (unsigned seed = 1; seed <= 5; ++seed) {
    const auto made = calibrate(many_poses(faults, seed).series());
    ASSERT_TRUE(made.has_value()) << made.error().line();
    EXPECT_GE(made->poses, 14);
    EXPECT_TRUE(made->skew_seen);
    EXPECT_GT(made->residual_before, 0.1);
    EXPECT_LT(made->residual_after, 0.01);
    const Matrix3d off = (made->acc.gain - truth).cwiseAbs();
    EXPECT_TRUE((off.array() <= 4.0 * made->acc.gain_u.array()).all()) << off;
    EXPECT_LT(made->acc.gain_u.maxCoeff(), 0.003);
    const Vector3d offset = (made->acc.offset - faults.acc_offset).cwiseAbs();
    EXPECT_TRUE((offset.array() <= 4.0 * made->acc.offset_u.array()).all()) << offset;
    const Vector3d gyr = (made->gyr.offset - faults.gyr_offset).cwiseAbs();
    EXPECT_TRUE((gyr.array() <= 4.0 * made->gyr.offset_u.array()).all()) << gyr;
    EXPECT_LT(made->gyr.offset_u.maxCoeff(), 0.001);
    EXPECT_EQ(made->gyr.gain, Matrix3d::Identity());  // nothing was turned by a known angle
  }
}

TEST(Calibration, TurnsByAKnownAngleGiveTheGyroscopesGain) {
  const Faults faults = some_faults();
  Desk desk = many_poses(faults);
  const double full = 2.0 * std::numbers::pi;
  for (const Vector3d& axis : {kX, kY, kZ}) {
    for (int times = 0; times < 3; ++times) {
      desk.turn(full * axis, 3.0);
      desk.hold(2.0);
    }
  }
  CalibrationOptions options;
  options.turn_angle = full;
  const auto made = calibrate(desk.series(), options);
  ASSERT_TRUE(made.has_value()) << made.error().line();
  EXPECT_EQ(made->turns, 9);
  for (Index axis = 0; axis < 3; ++axis) {
    EXPECT_NEAR(made->gyr.gain(axis, axis) * faults.gyr_gain(axis, axis), 1.0, 0.001);
  }
}

TEST(Calibration, ApplyUndoesTheFaultsAndNarrowsTheErrors) {
  const InertialSeries raw = many_poses(some_faults()).series();
  const auto made = calibrate(raw);
  ASSERT_TRUE(made.has_value());
  InertialSeries series = raw;
  apply(*made, series);
  const std::vector<StillPose> poses = still_poses(series);
  ASSERT_GE(poses.size(), 14U);
  for (const StillPose& pose : poses) {
    EXPECT_NEAR(pose.acc_mean.norm(), kStandardGravity, 0.02);
    EXPECT_LT(pose.gyr_mean.norm(), 0.001);
  }
  const SensorErrors before;
  const SensorErrors after = narrowed(before, *made);
  EXPECT_LT(after.gyr_bias_sd, 0.5 * before.gyr_bias_sd);
  EXPECT_LT(after.acc_bias_sd, 0.5 * before.acc_bias_sd);
  EXPECT_EQ(after.reading_lag, before.reading_lag);
  EXPECT_GE(after.acc_bias_sd, made->acc.offset_u.maxCoeff());
  const SensorErrors fine{1e-5, 1e-4, 1e-4, 1e-3, 0.0};
  EXPECT_EQ(narrowed(fine, *made).acc_bias_sd, fine.acc_bias_sd);  // never wider
  StrapCalibration skewed = *made;
  skewed.acc.gain_u(0, 2) = 0.002;  // the least known of three
  skewed.acc.gain_u(0, 1) = skewed.acc.gain_u(1, 2) = 0.001;
  skewed.skew_seen = true;
  EXPECT_EQ(narrowed(before, skewed).acc_cross_axis_sd, 0.002);
  skewed.skew_seen = false;
  EXPECT_EQ(narrowed(before, skewed).acc_cross_axis_sd, before.acc_cross_axis_sd);
  // Live, reading by reading, comes to the same.
  for (Index i = 0; i < raw.size(); i += 97) {
    EXPECT_TRUE(calibrated(made->acc, raw.acc.col(i)).isApprox(series.acc.col(i)));
    EXPECT_TRUE(calibrated(made->gyr, raw.gyr.col(i)).isApprox(series.gyr.col(i), 1e-9));
  }
}

TEST(Calibration, RefusesPosesThatLeaveSomethingOpen) {
  Desk few(Faults{});
  few.hold(3.0);
  const auto one = calibrate(few.series());
  ASSERT_FALSE(one.has_value());
  EXPECT_THAT(one.error().line(), HasSubstr("still in only 1 different pose, 6 are needed"));

  // Leaning this way and that, always with z up.
  Desk upright(Faults{});
  upright.hold(3.0);
  for (int i = 0; i < 8; ++i) {
    upright.turn(Vector3d(0.5 * std::cos(0.8 * i), 0.5 * std::sin(0.8 * i), 0.0));
    upright.hold(3.0);
  }
  const auto half = calibrate(upright.series());
  ASSERT_FALSE(half.has_value());
  EXPECT_THAT(half.error().line(), HasSubstr("do not cover the sphere"));

  CalibrationOptions turned;
  turned.turn_angle = 2.0 * std::numbers::pi;
  const auto none = calibrate(many_poses(Faults{}).series(), turned);
  ASSERT_FALSE(none.has_value());
  EXPECT_THAT(none.error().line(), HasSubstr("no turn by 360° about the strap's x axis"));
  EXPECT_FALSE(calibrate(InertialSeries{}).has_value());
}

TEST(Calibration, ReadingsOfTheWrongUnitAreNoCalibration) {
  InertialSeries series = many_poses(Faults{}).series();
  series.acc /= kStandardGravity;  // in g
  const auto made = calibrate(series);
  ASSERT_FALSE(made.has_value());
  EXPECT_THAT(made.error().line(), HasSubstr("check the unit"));
}

std::filesystem::path calibration_data() {
  const char* given = std::getenv("STRAPLINE_DATA");
  const std::filesystem::path base = given != nullptr
                                         ? std::filesystem::path(given)
                                         : std::filesystem::path(STRAPLINE_ROOT) / "../shared/data";
  return base / "calibration";
}

/// Six columns from `first` on of a CSV file, after `skipped` lines.
Eigen::Matrix<double, 6, Eigen::Dynamic> columns(const std::filesystem::path& file, int skipped,
                                                 std::size_t first) {
  std::ifstream in(file);
  std::string line;
  for (int i = 0; i < skipped; ++i) std::getline(in, line);
  std::vector<double> values;
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    std::string cell;
    for (std::size_t c = 0; std::getline(cells, cell, ',') && c < first + 6; ++c) {
      if (c >= first) values.push_back(std::stod(cell));
    }
  }
  return Eigen::Map<const Eigen::Matrix<double, 6, Eigen::Dynamic>>(
      values.data(), 6, static_cast<Index>(values.size() / 6));
}

InertialSeries series_of(const Eigen::Matrix3Xd& acc, const Eigen::Matrix3Xd& gyr, double rate) {
  InertialSeries s;
  s.t = Eigen::VectorXd::LinSpaced(acc.cols(), 0.0, static_cast<double>(acc.cols() - 1) / rate);
  s.acc = acc;
  s.gyr = gyr;
  return s;
}

void print(const std::string& name, const StrapCalibration& made) {
  std::cout << name << ": " << made.poses << " poses, RMS of |f| - g " << made.residual_before
            << " before, " << made.residual_after << " m/s2 after\n";
}

// Published result: Suarez, ImuCalibration (MIT), kept with the data. Its bias is added to the
// counts and its gravity is not stated: between 9.80 and 9.82, hence 0.2 % on the scales. The
// gyroscope's scale does not enter but for what counts as still: ±250 °/s over 16 bits is assumed.
TEST(CalibrationData, LowCostPartAsPublished) {
  const auto file = calibration_data() / "low_cost_part/example_data_calibration.csv";
  if (!std::filesystem::exists(file)) GTEST_SKIP() << file << " is not there";
  const auto counts = columns(file, 5, 0);
  const double acc_scale = kStandardGravity / 16384.0, gyr_scale = kDegree / 131.0;
  const auto made = calibrate(
      series_of(acc_scale * counts.topRows<3>(), gyr_scale * counts.bottomRows<3>(), 100.0));
  ASSERT_TRUE(made.has_value()) << made.error().line();
  print("low_cost_part", *made);
  EXPECT_GE(made->poses, 9);
  const Vector3d scale = acc_scale * made->acc.gain.diagonal();
  const Vector3d published(0.00060201, 0.00059684, 0.00058592);
  const Vector3d offset = made->acc.offset / acc_scale;
  const Vector3d offset_u = made->acc.offset_u / acc_scale;
  const Vector3d published_offset(711.5, -358.5, -1840.1);
  const Vector3d gyr = made->gyr.offset / gyr_scale;
  std::cout << "scale " << scale.transpose() << ", offset " << offset.transpose() << " +- "
            << offset_u.transpose() << ", gyroscope " << gyr.transpose() << '\n';
  for (Index axis = 0; axis < 3; ++axis) {
    EXPECT_NEAR(scale[axis] / published[axis], 1.0, 0.002);
    EXPECT_NEAR(offset[axis], published_offset[axis], 3.0 * offset_u[axis]);
    EXPECT_LT(offset_u[axis], 20.0);  // 0.012 m/s²
  }
  EXPECT_TRUE(gyr.isApprox(Vector3d(-427.46, 147.95, -80.72), 0.003)) << gyr;
  EXPECT_GT(made->residual_before, 0.5);
  EXPECT_LT(made->residual_after, 0.01);
}

// Six poses and one turn by 360° about each axis (imucal, MAD-Lab FAU, MIT): uncalibrated they read
// 371.9, 354.8 and 359.2°. Sample borders of the turns are those of the data's own list.
TEST(CalibrationData, SixPosesAndThreeTurns) {
  const auto file = calibration_data() / "six_pose/example_ferraris_session.csv";
  if (!std::filesystem::exists(file)) GTEST_SKIP() << file << " is not there";
  const auto read = columns(file, 1, 1);
  constexpr double kRate = 102.4;
  InertialSeries series = series_of(read.bottomRows<3>(), kDegree * read.topRows<3>(), kRate);
  CalibrationOptions options;
  options.turn_angle = 2.0 * std::numbers::pi;
  const auto made = calibrate(series, options);
  ASSERT_TRUE(made.has_value()) << made.error().line();
  print("six_pose", *made);
  EXPECT_EQ(made->turns, 3);
  EXPECT_FALSE(made->skew_seen);  // sides only
  EXPECT_GT(made->residual_before, 0.4);
  EXPECT_LT(made->residual_after, 0.01);
  const auto turned = [&](Index axis, Index from, Index to) {
    return series.gyr.row(axis).segment(from, to - from).sum() / kRate / kDegree;
  };
  const auto all = [&] {
    return Vector3d(turned(0, 6770, 7093), turned(1, 8081, 8405), turned(2, 9205, 9512));
  };
  const Vector3d before = all();
  apply(*made, series);
  const Vector3d after = all();
  std::cout << "turns " << before.transpose() << " before, " << after.transpose() << " after\n";
  for (Index axis = 0; axis < 3; ++axis) EXPECT_NEAR(std::abs(after[axis]), 360.0, 2.0);
}

}  // namespace
}  // namespace strapline::dsp
