#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "strapline/dsp/joint_motion.hpp"
#include "strapline/dsp/rotation.hpp"

#include "csv_table.hpp"
#include "reference_row.hpp"
#include "trace_error.hpp"

namespace strapline::cli::reference {
namespace {

using Eigen::Index;
using Eigen::VectorXd;
namespace fs = std::filesystem;

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kMark = 0.99;  // correlation wanted; published processing of this set: 0.996–0.998

struct Limb {
  std::string side;       ///< as in file names
  std::string reference;  ///< as in column names
};

/// The reps of one exercise as one recording: what lies between them is missing.
struct Exercise {
  std::vector<dsp::Interval> reps;
  dsp::InertialSeries thigh, shank;
  Trace knee, thigh_lean;  ///< reference, degrees
};

void append(dsp::InertialSeries& all, const dsp::InertialSeries& more) {
  const Index n = all.size(), m = more.size();
  all.t.conservativeResize(n + m);
  all.acc.conservativeResize(Eigen::NoChange, n + m);
  all.gyr.conservativeResize(Eigen::NoChange, n + m);
  all.t.tail(m) = more.t;
  all.acc.rightCols(m) = more.acc;
  all.gyr.rightCols(m) = more.gyr;
  all.flags.resize(static_cast<std::size_t>(n + m), dsp::kSampleGood);
  if (n > 0) all.flags[static_cast<std::size_t>(n)] = dsp::kAfterGap;
}

void append(Trace& all, const VectorXd& t, const VectorXd& y) {
  const Index n = all.t.size();
  all.t.conservativeResize(n + t.size());
  all.y.conservativeResize(n + t.size());
  all.t.tail(t.size()) = t;
  all.y.tail(t.size()) = y;
}

dsp::Result<void> add_rep(Exercise& exercise, const fs::path& folder, const Limb& limb) {
  const auto thigh = read_readings(folder / (limb.side + "_thigh.csv"));
  if (!thigh) return tl::make_unexpected(thigh.error());
  const auto shank = read_readings(folder / (limb.side + "_shank.csv"));
  if (!shank) return tl::make_unexpected(shank.error());
  const auto table = read_table(folder / "angles.csv");
  if (!table) return tl::make_unexpected(table.error());
  const auto t = table->column("t"), knee = table->column(limb.reference + "KneeAngle_X"),
             hip = table->column(limb.reference + "HipAngle_X"),
             pelvis = table->column("PelvisAngle_X");
  for (const auto* column : {&t, &knee, &hip, &pelvis}) {
    if (!*column) return tl::make_unexpected(column->error());
  }
  append(exercise.thigh, *thigh);
  append(exercise.shank, *shank);
  append(exercise.knee, *t, -*knee);
  // Hip flexion less the pelvis's forward tilt; the constant does not matter here.
  append(exercise.thigh_lean, *t, *hip + *pelvis);
  exercise.reps.push_back({(*t)[0], (*t)[t->size() - 1]});
  return {};
}

/// The thigh's long axis in its sensor: what is up in the standing pose.
dsp::Result<Eigen::Vector3d> long_axis(const fs::path& folder, const Limb& limb) {
  const auto pose = read_readings(folder / "Pose/rep1" / (limb.side + "_thigh.csv"));
  if (!pose) return tl::make_unexpected(pose.error());
  return pose->acc.rowwise().mean().normalized();
}

/// Range of a trace within a rep.
double range(const Trace& trace, const dsp::Interval& rep) {
  double least = 1e9, most = -1e9;
  for (Index i = 0; i < trace.t.size(); ++i) {
    if (trace.t[i] < rep.from_s || trace.t[i] > rep.to_s) continue;
    least = std::min(least, trace.y[i]);
    most = std::max(most, trace.y[i]);
  }
  return most - least;
}

/// "range per rep 92.1/94.3 …": ours beside the reference's.
std::string ranges(const Trace& ours, const Trace& truth, const std::vector<dsp::Interval>& reps) {
  std::string text = "range per rep, ours/reference:";
  for (const auto& rep : reps) {
    text += fmt::format(" {:.0f}/{:.0f}", range(ours, rep), range(truth, rep));
  }
  return text;
}

ReferenceRow correlation_row(ReferenceRow row, const std::string& quantity, const Trace& ours,
                             const Trace& truth, const std::vector<dsp::Interval>& reps) {
  row.quantity = quantity + ", correlation";
  row.unit = "";
  row.mark = kMark;
  row.higher_is_better = true;
  row.ours = trace_error(ours, ours.y, truth).correlation;
  row.note = ranges(ours, truth, reps);
  return row;
}

void add_exercise(std::vector<ReferenceRow>& rows, const fs::path& folder, const char* name,
                  const Limb& limb) {
  ReferenceRow row{.set = "squat_lab",
                   .trial = fmt::format("{} {}", name, limb.side),
                   .quantity = "knee flexion, correlation"};
  Exercise exercise;
  for (int rep = 1; fs::exists(folder / name / fmt::format("rep{}", rep)); ++rep) {
    const auto added = add_rep(exercise, folder / name / fmt::format("rep{}", rep), limb);
    if (!added) {
      rows.push_back(failed_row(row, added.error().line()));
      return;
    }
  }
  if (exercise.reps.empty()) {
    rows.push_back(skipped_row(row));
    return;
  }
  const auto axis = long_axis(folder, limb);
  const auto thigh = dsp::smoothed_orientation(exercise.thigh);
  const auto shank = dsp::smoothed_orientation(exercise.shank);
  const auto motion = dsp::joint_motion({exercise.thigh, thigh}, {exercise.shank, shank});
  if (!axis || !motion) {
    rows.push_back(failed_row(row, (axis ? motion.error() : axis.error()).line()));
    return;
  }
  rows.push_back(correlation_row(row, "knee flexion", {motion->t, motion->flexion / kDegree},
                                 exercise.knee, exercise.reps));
  Trace lean{thigh.t, VectorXd(thigh.t.size())};
  for (Index i = 0; i < lean.t.size(); ++i) {
    const auto& q = thigh.q_world_from_sensor[static_cast<std::size_t>(i)];
    lean.y[i] = std::acos(std::clamp((q * *axis).dot(dsp::world_up()), -1.0, 1.0)) / kDegree;
  }
  rows.push_back(
      correlation_row(row, "thigh inclination", lean, exercise.thigh_lean, exercise.reps));
}

}  // namespace

std::vector<ReferenceRow> squat_rows(const fs::path& folder) {
  const fs::path lab = folder / "joints/squat_lab";
  const Limb left{"left", "Left"}, right{"right", "Right"};
  std::vector<ReferenceRow> rows;
  for (const char* squat : {"SqDL", "SqHalfDL", "DeclineSq"}) {
    add_exercise(rows, lab, squat, left);
    add_exercise(rows, lab, squat, right);
  }
  add_exercise(rows, lab, "StepUpL", left);
  return rows;
}

}  // namespace strapline::cli::reference
