#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/SVD>
#include <fmt/format.h>

#include "strapline/dsp/orientation_smoother.hpp"
#include "strapline/dsp/rotation.hpp"

#include "csv_table.hpp"
#include "reference_row.hpp"

namespace strapline::cli::reference {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;
using Eigen::VectorXd;
namespace fs = std::filesystem;

/// The truth of a trial: how the markers stood and which way is up in their frame, at which of our
/// samples.
struct UpTruth {
  std::vector<Index> samples;         // of the readings
  std::vector<Eigen::Quaterniond> q;  // the set's earth from markers
  Vector3d vertical;                  // in that earth
  Matrix3Xd up;                       // unit, marker frame
  bool vertical_given = true;
};

void set_vertical(UpTruth& truth, const Vector3d& vertical) {
  truth.vertical = vertical;
  truth.up.resize(3, static_cast<Index>(truth.q.size()));
  Index k = 0;
  for (const auto& q : truth.q) truth.up.col(k++) = q.conjugate() * vertical;
}

Matrix3Xd ups(const dsp::OrientationSeries& turns, const std::vector<Index>& samples) {
  Matrix3Xd up(3, static_cast<Index>(samples.size()));
  Index k = 0;
  for (const Index i : samples) {
    up.col(k++) =
        turns.q_world_from_sensor[static_cast<std::size_t>(i)].conjugate() * dsp::world_up();
  }
  return up;
}

/// The constant turn that takes `from` best to `to` (Wahba's problem by singular values).
Eigen::Matrix3d constant_turn(const Matrix3Xd& from, const Matrix3Xd& to) {
  const Eigen::JacobiSVD<Eigen::Matrix3d> svd(to * from.transpose(),
                                              Eigen::ComputeFullU | Eigen::ComputeFullV);
  Vector3d signs(1.0, 1.0, (svd.matrixU() * svd.matrixV().transpose()).determinant());
  return svd.matrixU() * signs.asDiagonal() * svd.matrixV().transpose();
}

VectorXd angles_deg(const Matrix3Xd& a, const Matrix3Xd& b) {
  VectorXd out(a.cols());
  for (Index i = 0; i < a.cols(); ++i) {
    out[i] = std::atan2(a.col(i).cross(b.col(i)).norm(), a.col(i).dot(b.col(i))) * 180.0 /
             std::numbers::pi;
  }
  return out;
}

double rms(const VectorXd& x) { return std::sqrt(x.squaredNorm() / static_cast<double>(x.size())); }

/// Our ups with the constant turn from sensor to markers removed. Where the set does not say which
/// way its earth's vertical is, that is found along with the turn, one from the other.
Matrix3Xd fitted(const Matrix3Xd& ups, UpTruth& truth) {
  constexpr int kRounds = 200;
  constexpr double kSettled = 1e-7;  // rad
  Matrix3Xd turned = constant_turn(ups, truth.up) * ups;
  for (int round = 0; round < kRounds && !truth.vertical_given; ++round) {
    Vector3d sum = Vector3d::Zero();
    Index k = 0;
    for (const auto& q : truth.q) sum += q * turned.col(k++);
    const double moved = (sum.normalized() - truth.vertical).norm();
    set_vertical(truth, sum.normalized());
    turned = constant_turn(ups, truth.up) * ups;
    if (moved < kSettled) break;
  }
  return turned;
}

/// The stated uncertainty is of the sensor, not of how it sits between the markers: that turn is
/// removed where the two are held together.
void compare(ReferenceRow& row, const dsp::OrientationSeries& turns, UpTruth truth,
             bool remove_constant) {
  const Matrix3Xd plain = ups(turns, truth.samples);
  const Matrix3Xd turned = fitted(plain, truth);
  row.ours = rms(angles_deg(remove_constant ? turned : plain, truth.up));
  const VectorXd error = angles_deg(turned, truth.up);
  // An inclination has two directions: 95 % of the lengths are within 2.448 of one's deviation.
  Index inside = 0;
  for (Index k = 0; k < error.size(); ++k) {
    const double u = turns.tilt_u[truth.samples[static_cast<std::size_t>(k)]];
    if (error[k] <= 2.448 * u * 180.0 / std::numbers::pi) ++inside;
  }
  row.coverage95 = static_cast<double>(inside) / static_cast<double>(error.size());
}

/// Samples of the readings nearest in time to the rows of the truth that count.
dsp::Result<UpTruth> broad_truth(const fs::path& folder, const dsp::InertialSeries& readings) {
  const auto table = read_table(folder / "truth.csv");
  if (!table) return tl::make_unexpected(table.error());
  const auto turns = turns_of(*table, "");
  if (!turns) return tl::make_unexpected(turns.error());
  const auto moving = table->column("moving");
  if (!moving) return tl::make_unexpected(moving.error());
  UpTruth truth;
  const Index n = std::min<Index>(table->rows(), readings.size());
  for (Index i = 0; i < n; ++i) {
    const auto& q = (*turns)[static_cast<std::size_t>(i)];
    if ((*moving)[i] != 1.0 || !q.coeffs().allFinite()) continue;
    truth.samples.push_back(i);
    truth.q.push_back(q);
  }
  if (truth.q.empty()) return dsp::fail("no moving samples", table->name);
  set_vertical(truth, Vector3d::UnitZ());
  return truth;
}

/// The earth of this set is its first pose, of which nothing says how it stands: about where the
/// specific force's mean points.
dsp::Result<UpTruth> stick_truth(const fs::path& folder, const dsp::InertialSeries& readings) {
  const auto table = read_table(folder / "truth.csv");
  if (!table) return tl::make_unexpected(table.error());
  const auto turns = turns_of(*table, "");
  if (!turns) return tl::make_unexpected(turns.error());
  const auto t = table->column("t");
  if (!t) return tl::make_unexpected(t.error());
  UpTruth truth;
  truth.vertical_given = false;
  Vector3d vertical = Vector3d::Zero();
  Index i = 0;
  for (Index row = 0; row < table->rows(); ++row) {
    const auto& q = (*turns)[static_cast<std::size_t>(row)];
    while (i < readings.size() && readings.t[i] < (*t)[row] - 0.001) ++i;
    if (i == readings.size()) break;
    if (readings.t[i] > (*t)[row] + 0.001 || !q.coeffs().allFinite()) continue;
    vertical += q * readings.acc.col(i);
    truth.samples.push_back(i);
    truth.q.push_back(q);
  }
  if (truth.q.empty()) return dsp::fail("no samples in common with the readings", table->name);
  set_vertical(truth, vertical.normalized());
  return truth;
}

using TruthReader = dsp::Result<UpTruth> (*)(const fs::path&, const dsp::InertialSeries&);

/// Two rows: streaming and smoothed.
void add_trial(std::vector<ReferenceRow>& rows, const fs::path& folder, ReferenceRow row,
               const std::array<std::optional<double>, 2>& marks, TruthReader read_truth,
               bool remove_constant) {
  ReferenceRow live = row, after = row;
  live.quantity = "inclination, streaming";
  after.quantity = "inclination, smoothed";
  live.mark = marks[0];
  after.mark = marks[1];
  if (!fs::exists(folder / "sensor.csv")) {
    rows.push_back(skipped_row(live));
    rows.push_back(skipped_row(after));
    return;
  }
  const auto readings = read_readings(folder / "sensor.csv");
  const auto truth = readings ? read_truth(folder, readings->data)
                              : dsp::Result<UpTruth>(tl::make_unexpected(readings.error()));
  if (!truth) {
    rows.push_back(failed_row(live, truth.error().line()));
    rows.push_back(failed_row(after, truth.error().line()));
    return;
  }
  const dsp::OrientationParams params = dsp::params_for(readings->errors);
  compare(live, dsp::streaming_orientation(readings->data, params), *truth, remove_constant);
  compare(after, dsp::smoothed_orientation(readings->data, params), *truth, remove_constant);
  rows.push_back(live);
  rows.push_back(after);
}

struct BroadTrial {
  const char* name;
  double streaming, smoothed;  // degrees, the best published filter
};
constexpr std::array<BroadTrial, 8> kBroad{{
    {"01_undisturbed_slow_rotation_A", 0.60, 0.37},
    {"04_undisturbed_slow_rotation_with_breaks_A", 0.79, 0.41},
    {"06_undisturbed_fast_rotation_A", 0.80, 0.75},
    {"10_undisturbed_slow_translation_A", 0.30, 0.25},
    {"15_undisturbed_fast_translation_A", 0.47, 0.56},
    {"24_disturbed_tapping_A", 0.61, 0.51},
    {"28_disturbed_stationary_magnet_A", 1.21, 0.81},
    {"32_disturbed_attached_magnet_1cm", 0.56, 0.37},
}};

/// Means over the trials, where all of them are there.
void add_means(std::vector<ReferenceRow>& rows) {
  ReferenceRow live{
      .set = "broad", .trial = "mean of 8", .quantity = "inclination, streaming", .mark = 0.667};
  ReferenceRow after{
      .set = "broad", .trial = "mean of 8", .quantity = "inclination, smoothed", .mark = 0.504};
  double sums[2] = {0.0, 0.0};
  for (std::size_t k = 0; k < rows.size(); ++k) {
    if (!rows[k].ours) {
      rows.push_back(skipped_row(live));
      rows.push_back(skipped_row(after));
      return;
    }
    sums[k % 2] += *rows[k].ours / static_cast<double>(kBroad.size());
  }
  live.ours = sums[0];
  after.ours = sums[1];
  rows.push_back(live);
  rows.push_back(after);
}

}  // namespace

std::vector<ReferenceRow> inclination_rows(const fs::path& folder) {
  std::vector<ReferenceRow> rows;
  for (const BroadTrial& trial : kBroad) {
    const std::string name = trial.name;
    add_trial(rows, folder / "orientation/broad" / name,
              {.set = "broad", .trial = name.substr(0, 2)}, {trial.streaming, trial.smoothed},
              broad_truth, false);
  }
  add_means(rows);
  for (const char* test : {"02", "04", "07", "08", "09", "11"}) {
    add_trial(rows, folder / "orientation/stick" / fmt::format("TStick_Test{}_Trial1", test),
              {.set = "stick", .trial = test}, {}, stick_truth, true);
  }
  return rows;
}

}  // namespace strapline::cli::reference
