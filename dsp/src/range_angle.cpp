#include "range_angle.hpp"

#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "strapline/dsp/motion_features.hpp"

#include "arm_alignment.hpp"
#include "measure_traces.hpp"
#include "stance.hpp"
#include "strongest_turn.hpp"

namespace strapline::dsp {
namespace {

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

/// The mean of the sides worn, from the traces.
bool joint_range_angle(SetWork& work, const std::string& base) {
  const TraceSource source = trace_source(work, VectorXd::Zero(work.t.size()));
  VectorXd sum = VectorXd::Zero(work.t.size());
  double sides = 0.0;
  for (const MeasureTrace& trace : traces_of(base, source)) {
    if (trace.value.size() == 0) continue;
    sum += trace.value;
    sides += 1.0;
  }
  if (sides == 0.0) return false;
  const bool extends = work.input.movement.range_angle == RangeAngle::elbow_extension;
  work.range_angle = (extends ? -1.0 : 1.0) * sum / sides;
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
  work.start_level = work.thighs.front().start_level;
  return true;
}

/// The strap whose movement repeats longest and widest; without any, the one that turned most.
struct TurningStrap {
  const PreparedStrap* strap = nullptr;
  RepetitionSet set;
};

TurningStrap repeating_strap(const SetWork& work) {
  TurningStrap best;
  RepetitionParams params;
  // A sine of that range, end to end, has this rms; the path of most reps is near to one.
  params.least_amplitude = work.input.movement.least_range / std::sqrt(8.0);
  double most_turned = -1.0;
  for (std::size_t k = 0; k < work.straps.size(); ++k) {
    const PreparedStrap& strap = work.straps[k];
    RepetitionSet set = find_repetitions(
        motion_features(work.input.straps[k].data, strap.motion, work.t, work.parts.set), params);
    const double turned =
        set.reps.empty() ? strongest_turn(strap.motion, work.t, work.parts.set).energy : 0.0;
    const bool first_of_any = best.set.reps.empty() && turned > most_turned;
    if (set.reps.empty() ? first_of_any : set.strength > best.set.strength) {
      best = {&strap, std::move(set)};
    }
    most_turned = std::max(most_turned, turned);
  }
  return best;
}

void turn_range_angle(SetWork& work) {
  const TurningStrap chosen = repeating_strap(work);
  work.repetitions = chosen.set.reps;
  if (work.repetitions.empty()) {
    work.range_angle = strongest_turn(chosen.strap->motion, work.t, work.parts.set).angle;
    work.start_level = grow_from_start(work.range_angle, work.t, work.parts.set);
  } else {
    work.range_angle =
        turn_from_start(chosen.strap->motion, work.t, stretches_of(work.repetitions));
    work.start_level = 0.0;
  }
  work.range_trace = "turn_" + to_string(chosen.strap->placement);
  work.notes.push_back(fmt::format(
      "reps are the repetitions of the strap on {}: the range is relative, and the first moving "
      "phase is listed as the lowering",
      to_string(chosen.strap->placement)));
}

}  // namespace

void find_range_angle(SetWork& work) {
  const RangeAngle wanted = work.input.movement.range_angle;
  if (of_the_arms(work)) {
    align_arms(work.straps, work.t, work.parts, {}, work.budget);
  } else if (wanted != RangeAngle::strongest_turn) {
    for (PreparedStrap& strap : work.straps) align_strap(strap, work.t, work.parts);
    carry_toe_lines(work.straps, work.t, work.parts);
  }
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
