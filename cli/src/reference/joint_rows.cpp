#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Eigenvalues>
#include <fmt/format.h>

#include "strapline/dsp/joint_motion.hpp"
#include "strapline/dsp/rotation.hpp"

#include "csv_table.hpp"
#include "reference_row.hpp"
#include "trace_error.hpp"

namespace strapline::cli::reference {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;
namespace fs = std::filesystem;

constexpr double kDegree = std::numbers::pi / 180.0;

/// The hinge's own axis in the truth: the direction that most of the relative turn is about.
Vector3d own_axis(const std::vector<Quaterniond>& a, const std::vector<Quaterniond>& b) {
  Eigen::Matrix3d sum = Eigen::Matrix3d::Zero();
  for (std::size_t i = 0; i < a.size(); ++i) {
    const Vector3d turn = (a[i].conjugate() * b[i]).vec();
    if (turn.allFinite()) sum += turn * turn.transpose();
  }
  return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(sum).eigenvectors().col(2);
}

/// Turn of b against a about `axis`, degrees, unwrapped (the twist of the relative quaternion).
VectorXd twist(const std::vector<Quaterniond>& a, const std::vector<Quaterniond>& b,
               const Vector3d& axis) {
  VectorXd out(static_cast<Eigen::Index>(a.size()));
  double last = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const Quaterniond relative = a[i].conjugate() * b[i];
    const double angle = 2.0 * std::atan2(relative.vec().dot(axis), relative.w());
    if (std::isfinite(angle)) last += dsp::wrap_angle(angle - last);
    out[static_cast<Eigen::Index>(i)] = std::isfinite(angle) ? last / kDegree : angle;
  }
  return out;
}

ReferenceRow flexion_row(ReferenceRow row, const fs::path& file_a, const fs::path& file_b,
                         dsp::Result<Trace> truth) {
  row.quantity = "flexion";
  if (!fs::exists(file_a) || !fs::exists(file_b)) return skipped_row(row);
  if (!truth) return failed_row(row, truth.error().line());
  const auto a = read_readings(file_a), b = read_readings(file_b);
  if (!a) return failed_row(row, a.error().line());
  if (!b) return failed_row(row, b.error().line());
  const auto turn_a = dsp::smoothed_orientation(a->data, dsp::params_for(a->errors)),
             turn_b = dsp::smoothed_orientation(b->data, dsp::params_for(b->errors));
  const auto motion = dsp::joint_motion({a->data, turn_a}, {b->data, turn_b});
  if (!motion) return failed_row(row, motion.error().line());
  // The truth follows the program's rule for the sign: positive towards the larger excursion.
  truth->y *= excursion_sign(*truth);
  const Trace ours{motion->t, motion->flexion / kDegree};
  const VectorXd u = motion->flexion_u / kDegree;
  const TraceError error = trace_error(ours, u, *truth);
  const double shift = best_shift(ours, *truth);
  row.ours = error.rmse;
  row.coverage95 = error.coverage95;
  row.time_shift_ms = -1000.0 * shift;
  row.ours_in_time = trace_error(ours, u, *truth, shift).rmse;
  return row;
}

dsp::Result<Trace> column_truth(const fs::path& file, const std::string& name) {
  const auto table = read_table(file);
  if (!table) return tl::make_unexpected(table.error());
  const auto t = table->column("t"), y = table->column(name);
  if (!t) return tl::make_unexpected(t.error());
  if (!y) return tl::make_unexpected(y.error());
  return Trace{*t, *y};
}

/// `axis` zero: the truth's own.
dsp::Result<Trace> turn_truth(const fs::path& file, const std::string& a, const std::string& b,
                              Vector3d axis) {
  const auto table = read_table(file);
  if (!table) return tl::make_unexpected(table.error());
  const auto t = table->column("t");
  if (!t) return tl::make_unexpected(t.error());
  const auto qa = turns_of(*table, a + "_"), qb = turns_of(*table, b + "_");
  if (!qa) return tl::make_unexpected(qa.error());
  if (!qb) return tl::make_unexpected(qb.error());
  if (axis.isZero()) axis = own_axis(*qa, *qb);
  return Trace{*t, twist(*qa, *qb, axis)};
}

void add_chain(std::vector<ReferenceRow>& rows, const fs::path& folder, const char* kind,
               const std::array<double, 3>& marks) {
  for (int joint = 0; joint < 3; ++joint) {
    const std::string a = fmt::format("segment{}", joint + 2);
    const std::string b = fmt::format("segment{}", joint + 3);
    ReferenceRow row{.set = "arm_chain",
                     .trial = fmt::format("trial1 {} {}-{}", kind, joint + 2, joint + 3),
                     .mark = marks[static_cast<std::size_t>(joint)]};
    if (!fs::exists(folder / "truth.csv")) {
      rows.push_back(skipped_row(row));
      continue;
    }
    rows.push_back(flexion_row(row, folder / kind / (a + ".csv"), folder / kind / (b + ".csv"),
                               turn_truth(folder / "truth.csv", a, b, Vector3d::Unit(joint))));
  }
}

}  // namespace

// The marks: a short prototype with a published six-axis filter, hinge axes from the gyroscopes,
// heading from the joint; constant offset removed, sign by hand.
std::vector<ReferenceRow> joint_rows(const fs::path& folder) {
  std::vector<ReferenceRow> rows;
  const fs::path knee = folder / "joints/knee_lab/block1";
  rows.push_back(flexion_row({.set = "knee_lab", .trial = "block1", .mark = 2.96},
                             knee / "left_thigh.csv", knee / "left_shank.csv",
                             column_truth(knee / "truth.csv", "left_knee_flexion_deg")));
  for (const auto& [trial, mark] :
       {std::pair{"circle-100", 0.56}, {"circle-150", 0.51}, {"circle-250", 0.56}}) {
    const fs::path arm = folder / "joints/robot_arm" / trial;
    rows.push_back(flexion_row(
        {.set = "robot_arm", .trial = trial, .mark = mark}, arm / "radius.csv", arm / "carpus.csv",
        turn_truth(arm / "truth.csv", "radius", "carpus", Vector3d::Zero())));
  }
  const fs::path chain = folder / "joints/arm_chain/trial1";
  add_chain(rows, chain, "rigid", {3.56, 2.48, 3.38});
  add_chain(rows, chain, "nonrigid", {4.26, 2.68, 6.48});
  return rows;
}

}  // namespace strapline::cli::reference
