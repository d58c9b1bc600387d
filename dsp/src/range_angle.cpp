#include "range_angle.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "arm_alignment.hpp"
#include "measure_traces.hpp"
#include "repeating_strap.hpp"
#include "stance.hpp"
#include "strongest_turn.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// The measure whose mean over the sides is the range angle; empty where there is none.
std::string range_measure(RangeAngle angle) {
  switch (angle) {
    case RangeAngle::thigh_depth:
      return "thigh_depth";
    case RangeAngle::knee_flexion:
      return "knee_flexion";
    case RangeAngle::hip_flexion:
      return "hip_flexion";
    case RangeAngle::elbow_flexion:
    case RangeAngle::elbow_extension:
      return "elbow_flexion";
    case RangeAngle::working_thigh_depth:
    case RangeAngle::strongest_turn:
      break;
  }
  return {};
}

/// The range angle's measure on each side that shows it. Of a thigh its swing: an elevation has its
/// least value at plumb and rises to either side of it, so that its rate near standing would tell
/// how far from plumb the client stood, which no strap shows.
std::vector<VectorXd> sides_of(const SetWork& work, const std::string& base) {
  std::vector<VectorXd> sides;
  if (work.input.movement.range_angle == RangeAngle::thigh_depth) {
    for (const PreparedStrap& strap : work.straps) {
      if (strap.placement.segment == Segment::thigh && strap.alignment) {
        sides.push_back(thigh_swing(strap));
      }
    }
    return sides;
  }
  const TraceSource source = trace_source(work, VectorXd::Zero(work.t.size()));
  for (MeasureTrace& trace : traces_of(base, source)) {
    if (trace.value.size() > 0) sides.push_back(std::move(trace.value));
  }
  return sides;
}

/// The mean of the sides known at each time; empty where none shows it.
VectorXd joint_angle(const SetWork& work, const std::string& base) {
  const std::vector<VectorXd> sides = sides_of(work, base);
  if (sides.empty()) return {};
  VectorXd sum = VectorXd::Zero(work.t.size()), count = VectorXd::Zero(work.t.size());
  for (const VectorXd& side : sides) {
    for (Index i = 0; i < sum.size(); ++i) {
      if (!std::isfinite(side[i])) continue;
      sum[i] += side[i];
      count[i] += 1.0;
    }
  }
  const bool extends = work.input.movement.range_angle == RangeAngle::elbow_extension;
  return (extends ? -1.0 : 1.0) * sum.cwiseQuotient(count);  // 0/0: not known
}

bool joint_range_angle(SetWork& work, const std::string& base) {
  VectorXd angle = joint_angle(work, base);
  if (angle.size() == 0) return false;
  work.range_angle = std::move(angle);
  const bool extends = work.input.movement.range_angle == RangeAngle::elbow_extension;
  work.range_trace = extends ? "elbow_extension" : base;
  // Legs start as they stand; arms take up a start position first.
  work.start_level = guess_start_level(work.t, work.range_angle,
                                       of_the_arms(work) ? work.parts.set : *work.parts.still);
  return true;
}

/// Of the leg that works, either or one.
bool working_range_angle(SetWork& work) {
  work.thighs = sided_thighs(work.straps, work.t, work.parts);
  if (work.thighs.empty()) return false;
  work.range_angle = working_depth(work.thighs);
  work.range_trace = "working_thigh_depth";
  work.start_level = work.thighs.front().start_level;  // of both: the further, as of the depth
  for (const SidedThigh& thigh : work.thighs) {
    work.start_level = std::max(work.start_level, thigh.start_level);
  }
  return true;
}

void turn_range_angle(SetWork& work) {
  const TurningStrap chosen = repeating_strap(work);
  work.repetitions = chosen.set.reps;
  work.repeating = static_cast<std::size_t>(chosen.strap - work.straps.data());
  if (work.repetitions.empty()) {
    work.range_angle = strongest_turn(chosen.strap->motion, work.t, {work.parts.set}).angle;
    work.start_level = grow_from_start(work.range_angle, work.t, work.parts.set);
  } else {
    work.range_angle =
        turn_from_start(chosen.strap->motion, work.t, sure_stretches(work.repetitions));
    work.start_level = 0.0;
  }
  work.range_trace = "turn_" + to_string(chosen.strap->placement);
  work.notes.push_back(fmt::format(
      "reps are the repetitions of the strap on {}: the range is relative, and the first moving "
      "phase is listed as the lowering",
      to_string(chosen.strap->placement)));
}

}  // namespace

std::vector<Segment> range_segments(RangeAngle angle) {
  switch (angle) {
    case RangeAngle::thigh_depth:
    case RangeAngle::working_thigh_depth:
      return {Segment::thigh};
    case RangeAngle::knee_flexion:
      return {Segment::thigh, Segment::shank};
    case RangeAngle::hip_flexion:
      return {Segment::pelvis, Segment::thigh};
    case RangeAngle::elbow_flexion:
    case RangeAngle::elbow_extension:
      return {Segment::upper_arm, Segment::forearm};
    case RangeAngle::strongest_turn:
      break;
  }
  return {};
}

void align_for_range(SetWork& work) {
  if (of_the_arms(work)) {
    align_arms(work.straps, work.t, work.parts, {}, work.budget);
  } else if (work.input.movement.range_angle != RangeAngle::strongest_turn) {
    for (PreparedStrap& strap : work.straps) align_strap(strap, work.t, work.parts);
    carry_toe_lines(work.straps, work.t, work.parts);
  }
}

std::vector<OwnAngle> own_range_angles(const SetWork& work) {
  const RangeAngle wanted = work.input.movement.range_angle;
  std::vector<OwnAngle> angles;
  if (wanted == RangeAngle::working_thigh_depth) {
    for (const PreparedStrap& strap : work.straps) {
      if (strap.placement.segment != Segment::thigh || !strap.alignment) continue;
      angles.push_back({strap.placement.side, thigh_swing(strap)});
    }
    return angles;
  }
  const std::string base = range_measure(wanted);
  VectorXd angle = base.empty() ? VectorXd() : joint_angle(work, base);
  if (angle.size() > 0) angles.push_back({Side::middle, std::move(angle)});
  return angles;
}

void find_range_angle(SetWork& work) {
  align_for_range(work);
  const RangeAngle wanted = work.input.movement.range_angle;
  const std::string base = range_measure(wanted);
  const bool found = wanted == RangeAngle::working_thigh_depth
                         ? working_range_angle(work)
                         : !base.empty() && joint_range_angle(work, base);
  if (!found) turn_range_angle(work);
}

void refresh_range_angle(SetWork& work) {
  const std::string base = range_measure(work.input.movement.range_angle);
  if (!work.thighs.empty()) working_range_angle(work);
  if (!base.empty() && !work.range_trace.starts_with("turn_")) joint_range_angle(work, base);
}

}  // namespace strapline::dsp
