#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "strapline/dsp/rep_gate.hpp"
#include "strapline/dsp/repetition.hpp"
#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "arm_alignment.hpp"
#include "arm_heading.hpp"
#include "depth_share.hpp"
#include "leg_alignment.hpp"
#include "measure_traces.hpp"
#include "median.hpp"
#include "range_angle.hpp"
#include "range_uncertainty.hpp"
#include "rep_measures.hpp"
#include "repetition_reps.hpp"
#include "segment_motion.hpp"
#include "set_measures.hpp"
#include "set_straps.hpp"
#include "set_work.hpp"
#include "stance.hpp"
#include "strap_shift.hpp"
#include "strap_slip.hpp"
#include "strongest_turn.hpp"
#include "tilt_change.hpp"
#include "upright_axes.hpp"
#include "vertical_velocity.hpp"
#include "working_leg.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr const char* kAlgorithm = "strapline-set 1";

Result<void> check_input(const SetInput& input) {
  if (input.straps.empty()) return fail("no strap", "recording", "record at least one");
  for (const StrapSeries& strap : input.straps) {
    if (strap.data.size() < 16) {
      return fail(fmt::format("only {} samples", strap.data.size()), to_string(strap.placement),
                  "record a longer set");
    }
  }
  for (const Segment segment : input.movement.required) {
    const bool worn = std::any_of(input.straps.begin(), input.straps.end(),
                                  [&](const auto& s) { return s.placement.segment == segment; });
    if (!worn) {
      return fail(fmt::format("the movement {} needs a strap on a {}", input.movement.name,
                              to_string({segment, Side::middle})),
                  "placements", "wear it, or review with --movement free");
    }
  }
  return {};
}

std::vector<std::string> stuck_straps(const std::vector<StrapSeries>& straps) {
  std::vector<std::string> notes;
  for (const StrapSeries& strap : straps) {
    for (const Interval& stuck : strap.stuck) {
      notes.push_back(
          fmt::format("the strap on {} repeats one reading from {:.1f} s to {:.1f} s, which is "
                      "left out: what it did then is not known",
                      to_string(strap.placement), stuck.from_s, stuck.to_s));
    }
  }
  return notes;
}

/// Only where standing is known, not guessed, and the trunk is worn.
void leave_out_standing(SetWork& work) {
  const double least = work.input.movement.start_trunk_turn;
  if (least <= 0.0 || !work.input.parts.still) return;
  for (const Segment segment :
       {Segment::chest, Segment::upper_back, Segment::lower_back, Segment::pelvis}) {
    const PreparedStrap* trunk = strap_at(work.straps, {segment, Side::middle});
    if (trunk == nullptr) continue;
    work.excursions =
        without_standing(work.excursions, trunk->motion, work.t, *work.input.parts.still, least);
    return;
  }
}

/// What does not go the set's way is left out: all straps show it.
void leave_out_strange(SetWork& work) {
  std::vector<const GridMotion*> straps;
  for (const PreparedStrap& strap : work.straps) straps.push_back(&strap.motion);
  const auto range_of = [&](const Excursion& e) -> const VectorXd& {
    for (const SidedThigh& thigh : work.thighs) {
      if (thigh.side == e.side) return thigh.depth;
    }
    return work.range_angle;
  };
  VectorXd start;
  if (starts_standing(work.input.movement.range_angle) && work.parts.still) {
    leave_out_backswings(work.excursions, work.t, work.range_angle, work.start_level,
                         work.segmentation.away_share);
    start = posture_in(straps, work.t, *work.parts.still);
  }
  work.excursions = without_strange(work.excursions, straps, work.t, range_of,
                                    work.segmentation.least_range, start);
  if (!work.thighs.empty()) keep_the_larger(work.excursions);
  leave_out_fidgeting(work.excursions, work.segmentation);
  mark_part_reps(work.excursions, work.segmentation);
}

void segment_set(SetWork& work) {
  work.segmentation.least_range = work.input.movement.least_range;
  // Firm tissue does not ring; between two segments both straps do.
  const double straps = std::max<double>(
      1.0, static_cast<double>(range_segments(work.input.movement.range_angle).size()));
  work.segmentation.ringing = SegmentationParams{}.ringing * std::sqrt(straps) *
                              work.budget.soft_tissue_thigh / ErrorBudget{}.soft_tissue_thigh;
  const bool repeats = !work.repetitions.empty();
  if (repeats || (work.range_trace.starts_with("turn_") && !work.input.parts.set)) {
    segment_repetitions(work);
    return;
  }
  if (!work.thighs.empty()) {
    work.excursions = working_excursions(work.thighs, work.t, work.parts.set, work.segmentation);
  } else {
    work.excursions = find_excursions(work.t, work.range_angle, work.start_level, work.parts.set,
                                      work.segmentation);
  }
  leave_out_standing(work);
  leave_out_strange(work);
}

std::vector<Interval> standing_stretches(const SetWork& work) {
  std::vector<Interval> standing;
  if (work.parts.still) standing.push_back(*work.parts.still);
  for (std::size_t k = 0; k + 1 < work.excursions.size(); ++k) {
    const Interval top{work.excursions[k].end.time_s, work.excursions[k + 1].start.time_s};
    if (top.length() > 0.0) standing.push_back(top);
  }
  if (work.parts.still_after) standing.push_back(*work.parts.still_after);
  return standing;
}

void settle_heading(SetWork& work) {
  if (!work.parts.still) return;
  const std::vector<Interval> standing = standing_stretches(work);
  const double still_s = 0.5 * (work.parts.still->from_s + work.parts.still->to_s);
  for (PreparedStrap& strap : work.straps) {
    remove_heading_drift(strap, work.t, still_s, standing, work.budget.heading_floor);
  }
}

/// Grid samples of the reps, on request of the bends too, ten a second: what shows a joint's axis.
std::vector<Index> movement_samples(const SetWork& work, bool bends) {
  std::vector<Index> samples;
  const auto add = [&](const Interval& part) {
    const auto step = static_cast<Index>(kGridRate / 10.0);
    const Index last = nearest_index(work.t, part.to_s);
    for (Index i = nearest_index(work.t, part.from_s); i <= last; i += step) samples.push_back(i);
  };
  if (bends && work.parts.align && !work.parts.aligned_by_set) add(*work.parts.align);
  for (const Excursion& e : work.excursions) add({e.start.time_s, e.end.time_s});
  return samples;
}

/// The start position at the middle of each hold between reps.
std::vector<Interval> start_postures(const SetWork& work) {
  std::vector<Interval> tops;
  for (std::size_t k = 0; k + 1 < work.excursions.size(); ++k) {
    tops.push_back({work.excursions[k].end.time_s, work.excursions[k + 1].start.time_s});
  }
  return tops;
}

void tell_slips(SetWork& work) {
  const auto slips = find_slips(work.straps, work.t, work.excursions);
  work.notes.insert(work.notes.end(), slips.begin(), slips.end());
}

void settle_arms(SetWork& work) {
  remove_arm_heading_drift(work.straps, work.t, work.parts, start_postures(work));
  align_arms(work.straps, work.t, work.parts, movement_samples(work, false), work.budget);
  refresh_range_angle(work);
  segment_set(work);
}

void settle_legs(SetWork& work) {
  const std::vector<Index> samples = movement_samples(work, true);
  const auto find = [&](Segment segment, Side side) {
    return const_cast<PreparedStrap*>(strap_at(work.straps, {segment, side}));
  };
  for (const Side side : {Side::left, Side::right}) {
    PreparedStrap* thigh = find(Segment::thigh, side);
    PreparedStrap* shank = find(Segment::shank, side);
    if (thigh != nullptr && shank != nullptr) {
      const auto note = align_leg(*thigh, *shank, work.t, work.parts, samples, work.budget);
      if (note) work.notes.push_back(*note);
    }
  }
  refresh_range_angle(work);
  segment_set(work);
}

void measure(SetWork& work, SetAnalysis& result) {
  for (const Excursion& e : work.excursions) result.reps.push_back(to_rep(e));
  for (PreparedStrap& strap : work.straps) {
    strap.held_over = held_over(strap.q_world_from_segment);
  }
  const TraceSource source = trace_source(work, depth_share(work));
  add_range_and_tempo(work.excursions, work.input.movement.first_phase,
                      range_uncertainty(work, source.depth_share), result.reps);
  result.traces.push_back({work.range_trace, Unit::radian, work.range_angle});
  for (const std::string& base : work.input.movement.measures) {
    for (const MeasureTrace& trace : traces_of(base, source)) {
      for (std::size_t k = 0; k < result.reps.size(); ++k) {
        add_statistics(trace, work.t, work.excursions[k], result.reps[k]);
      }
      if (trace.value.size() > 0) result.traces.push_back({trace.name(), trace.unit, trace.value});
    }
  }
  add_concentric_velocity(work.input.movement, work.input.straps, work.straps, work.t,
                          work.excursions, result.reps);
  add_left_less_right(result.reps);
  result.measures = measures_of_set(result.reps, result.traces, result.t);
}

void report_straps(const SetWork& work, SetAnalysis& result) {
  for (const PreparedStrap& strap : work.straps) {
    StrapReport report;
    report.placement = strap.placement;
    report.aligned = strap.alignment.has_value();
    report.gyr_bias = strap.gyr_bias;
    report.shift = strap.shift;
    if (strap.alignment) {
      const Eigen::Vector3d y = strap.alignment->q_sensor_from_segment * Eigen::Vector3d::UnitY();
      report.tilt = std::acos(std::min(1.0, y.cwiseAbs().maxCoeff()));
      if (strap.alignment->axis_u < kUnknownAxis) report.hinge_axis_u = strap.alignment->axis_u;
    }
    result.straps.push_back(report);
  }
}

std::map<std::string, double> parameters_of(const SetWork& work) {
  const OrientationParams& o = work.orientation;
  const SegmentationParams& s = work.segmentation;
  const ErrorBudget& b = work.budget;
  return {{"grid_rate_hz", kGridRate},
          {"epoch_s", o.epoch_s},
          {"gyr_noise_density", o.gyr_noise_density},
          {"gyr_relative_error", o.gyr_relative_error},
          {"acc_noise_density", o.acc_noise_density},
          {"reach_sd_m", o.reach_sd},
          {"reach_time_s", o.reach_time},
          {"smoothing_hz", s.smoothing_hz},
          {"least_range_rad", s.least_range},
          {"onset_share", s.onset_share},
          {"part_share", s.part_share},
          {"standing_rad", b.standing},
          {"standing_across_rad", b.standing_across},
          {"standing_limb_rad", b.standing_limb},
          {"standing_limb_across_rad", b.standing_limb_across},
          {"toe_line_rad", b.toe_line},
          {"hinge_square_rad", b.hinge_square},
          {"raise_plane_rad", b.raise_plane},
          {"bow_plane_rad", b.bow_plane},
          {"soft_tissue_thigh_rad", b.soft_tissue_thigh},
          {"soft_tissue_limb_rad", b.soft_tissue_limb}};
}

}  // namespace

int SetAnalysis::full_reps() const {
  return static_cast<int>(
      std::count_if(reps.begin(), reps.end(), [](const Rep& rep) { return !rep.part; }));
}

Result<SetAnalysis> analyse_set(const SetInput& input) {
  if (auto ok = check_input(input); !ok) return tl::make_unexpected(ok.error());
  SetWork work = work_on(input);
  prepare_straps(work);
  work.notes = stuck_straps(input.straps);
  for (std::string& note : find_shifts(work.straps, work.t, input.parts, work.budget)) {
    work.notes.push_back(std::move(note));
  }
  find_range_angle(work);
  segment_set(work);
  tell_slips(work);
  if (of_the_arms(work)) {
    settle_arms(work);
  } else {
    settle_heading(work);
    settle_legs(work);
  }
  for (std::string& note : upright_axes(work.straps, work.t, work.excursions)) {
    work.notes.push_back(std::move(note));
  }
  if (work.rises) {
    work.notes.emplace_back(
        "the strap hardly turns in this movement: how it rises and sinks gives the phases and "
        "tells part reps");
  }

  SetAnalysis result;
  result.algorithm = kAlgorithm;
  result.t = work.t;
  result.range_trace = work.range_trace;
  measure(work, result);
  result.clusters = clusters_of(result.reps);
  report_straps(work, result);
  result.parameters = parameters_of(work);
  if (input.movement.range_angle != RangeAngle::strongest_turn) result.notes = work.parts.notes;
  result.notes.insert(result.notes.end(), work.notes.begin(), work.notes.end());
  return result;
}

}  // namespace strapline::dsp
