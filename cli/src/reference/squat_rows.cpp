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

/// One strap over the reps of an exercise, each of which is a recording of its own.
struct StrapOverReps {
  dsp::InertialSeries readings;
  dsp::OrientationSeries turns;
};

struct Exercise {
  std::vector<dsp::Interval> reps;
  StrapOverReps thigh, shank;
  Trace knee, thigh_lean;  ///< reference, degrees
};

void append(VectorXd& all, const VectorXd& more) {
  all.conservativeResize(all.size() + more.size());
  all.tail(more.size()) = more;
}

void append(Eigen::Matrix3Xd& all, const Eigen::Matrix3Xd& more) {
  all.conservativeResize(Eigen::NoChange, all.cols() + more.cols());
  all.rightCols(more.cols()) = more;
}

/// Each rep's orientation starts anew: nothing ties its heading to that of the rep before.
void append(StrapOverReps& all, const dsp::StrapSeries& strap) {
  const dsp::InertialSeries& rep = strap.data;
  constexpr double kLost = std::numbers::pi;  // rad
  const dsp::OrientationSeries turns =
      dsp::smoothed_orientation(rep, dsp::params_for(strap.errors));
  const Index before = all.turns.t.size();
  const double heading_u = before == 0 ? 0.0 : all.turns.heading_u[before - 1] + kLost;
  append(all.readings.t, rep.t);
  append(all.readings.acc, rep.acc);
  // The bias is the rep's own: taken out here, so that none is left for the whole.
  append(all.readings.gyr, rep.gyr.colwise() - turns.gyr_bias);
  append(all.turns.t, turns.t);
  append(all.turns.tilt_u, turns.tilt_u);
  append(all.turns.heading_u, (turns.heading_u.array() + heading_u).matrix());
  all.turns.q_world_from_sensor.insert(all.turns.q_world_from_sensor.end(),
                                       turns.q_world_from_sensor.begin(),
                                       turns.q_world_from_sensor.end());
}

void append(Trace& all, const VectorXd& t, const VectorXd& y) {
  append(all.t, t);
  append(all.y, y);
}

/// The reference turns the pelvis about the room's X axis: that is backwards for a person who faces
/// along the axis (heading about 0°: the squats) and forwards for one who faces the other way
/// (about 180°: step-ups and walking). 1 or −1, by the side that most of the recording faces.
double forward_sign(const VectorXd& heading_deg) {
  return (heading_deg * kDegree).array().cos().sum() < 0.0 ? -1.0 : 1.0;
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
             pelvis = table->column("PelvisAngle_X"), facing = table->column("PelvisAngle_Z");
  for (const auto* column : {&t, &knee, &hip, &pelvis, &facing}) {
    if (!*column) return tl::make_unexpected(column->error());
  }
  append(exercise.thigh, *thigh);
  append(exercise.shank, *shank);
  append(exercise.knee, *t, -*knee);
  // Hip flexion less the pelvis's forward tilt; the constant does not matter here.
  append(exercise.thigh_lean, *t, *hip + forward_sign(*facing) * *pelvis);
  exercise.reps.push_back({(*t)[0], (*t)[t->size() - 1]});
  return {};
}

/// The thigh's long axis in its sensor: what is up in the standing pose.
dsp::Result<Eigen::Vector3d> long_axis(const fs::path& folder, const Limb& limb) {
  const auto pose = read_readings(folder / "Pose/rep1" / (limb.side + "_thigh.csv"));
  if (!pose) return tl::make_unexpected(pose.error());
  return pose->data.acc.rowwise().mean().normalized();
}

/// Inclination of the thigh in the plane that the knee bends in, degrees, positive forwards: the
/// turn about the knee's axis from the long axis to the vertical, both in the sensor's frame.
Trace lean_of(const dsp::OrientationSeries& thigh, const Eigen::Vector3d& long_axis,
              const Eigen::Vector3d& knee_axis) {
  Trace lean{thigh.t, VectorXd(thigh.t.size())};
  const Eigen::Vector3d zero = (long_axis - long_axis.dot(knee_axis) * knee_axis).normalized();
  for (Index i = 0; i < lean.t.size(); ++i) {
    const Eigen::Vector3d up =
        thigh.q_world_from_sensor[static_cast<std::size_t>(i)].conjugate() * dsp::world_up();
    lean.y[i] = std::atan2(up.dot(knee_axis.cross(zero)), up.dot(zero)) / kDegree;
  }
  return lean;
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

/// The trace with each rep's mean taken out: each is a recording of its own, with no start posture.
Trace within_reps(Trace trace, const std::vector<dsp::Interval>& reps) {
  for (const auto& rep : reps) {
    double sum = 0.0, count = 0.0;
    const auto inside = [&](Index i) {
      return trace.t[i] >= rep.from_s && trace.t[i] <= rep.to_s && std::isfinite(trace.y[i]);
    };
    for (Index i = 0; i < trace.t.size(); ++i) {
      if (!inside(i)) continue;
      sum += trace.y[i];
      count += 1.0;
    }
    for (Index i = 0; i < trace.t.size(); ++i) {
      if (inside(i)) trace.y[i] -= sum / count;
    }
  }
  return trace;
}

ReferenceRow correlation_row(ReferenceRow row, const std::string& quantity, const Trace& ours,
                             const Trace& truth, const std::vector<dsp::Interval>& reps) {
  row.quantity = quantity + ", correlation";
  row.unit = "";
  row.higher_is_better = true;
  const Trace centred = within_reps(ours, reps);
  row.ours = trace_error(centred, centred.y, within_reps(truth, reps)).correlation;
  row.note += ranges(ours, truth, reps);
  return row;
}

/// One leg through all reps of an exercise.
struct Leg {
  Exercise exercise;
  Trace knee, lean;  // ours, degrees
};

dsp::Result<Leg> read_leg(const fs::path& lab, const char* name, const Limb& limb) {
  Leg leg;
  Exercise& exercise = leg.exercise;
  for (int rep = 1; fs::exists(lab / name / fmt::format("rep{}", rep)); ++rep) {
    const auto added = add_rep(exercise, lab / name / fmt::format("rep{}", rep), limb);
    if (!added) return tl::make_unexpected(added.error());
  }
  if (exercise.reps.empty()) return leg;
  const auto axis = long_axis(lab, limb);
  if (!axis) return tl::make_unexpected(axis.error());
  const dsp::OrientationSeries& thigh = exercise.thigh.turns;
  const auto motion = dsp::joint_motion({exercise.thigh.readings, thigh},
                                        {exercise.shank.readings, exercise.shank.turns});
  if (!motion) return tl::make_unexpected(motion.error());
  // A clip that begins with the knee bent has its larger excursion towards straight: the program's
  // rule for the sign, applied to the truth, tells.
  const double sign = excursion_sign(exercise.knee);
  leg.knee = {motion->t, sign * motion->flexion / kDegree};
  leg.lean = lean_of(thigh, *axis, sign * motion->axis_a);
  return leg;
}

void add_exercise(std::vector<ReferenceRow>& rows, const fs::path& lab, const char* name,
                  const Limb& limb, std::optional<double> mark = kMark) {
  const ReferenceRow row{.set = "squat_lab",
                         .trial = fmt::format("{} {}", name, limb.side),
                         .quantity = "knee flexion, correlation",
                         .mark = mark};
  const auto leg = read_leg(lab, name, limb);
  if (!leg) return rows.push_back(failed_row(row, leg.error().line()));
  if (leg->exercise.reps.empty()) return rows.push_back(skipped_row(row));
  const auto& reps = leg->exercise.reps;
  rows.push_back(correlation_row(row, "knee flexion", leg->knee, leg->exercise.knee, reps));
  rows.push_back(
      correlation_row(row, "thigh inclination", leg->lean, leg->exercise.thigh_lean, reps));
}

}  // namespace

std::vector<ReferenceRow> squat_rows(const fs::path& folder) {
  const fs::path lab = folder / "joints/squat_lab";
  const Limb left{"left", "Left"}, right{"right", "Right"};
  std::vector<ReferenceRow> rows;
  for (const char* both : {"SqDL", "SqHalfDL", "StepUpL"}) {
    add_exercise(rows, lab, both, left);
    add_exercise(rows, lab, both, right);
  }
  add_exercise(rows, lab, "DeclineSq", right);  // on one leg: the other hangs
  for (const Limb& limb : {left, right}) add_exercise(rows, lab, "Walk", limb, std::nullopt);
  return rows;
}

}  // namespace strapline::cli::reference
