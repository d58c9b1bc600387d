#include "strapline/recordings/synthetic/synthesize.hpp"

#include <algorithm>
#include <functional>
#include <memory>
#include <type_traits>
#include <utility>

#include "strapline/recordings/synthetic/arm_motion.hpp"
#include "strapline/recordings/synthetic/one_leg_motion.hpp"
#include "strapline/recordings/synthetic/squat_motion.hpp"

#include "stirred_motion.hpp"
#include "strap_record.hpp"
#include "truth_json.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr std::uint64_t kTapeStream = 20;

std::string part_names() {
  std::string names;
  for (const SensorPart& part : sensor_parts()) names += (names.empty() ? "" : ", ") + part.name;
  return names;
}

dsp::Result<SensorPart> check_setup(const StrapSetup& setup, const BodyMotion& motion) {
  if (setup.placements.empty()) {
    return dsp::fail("no strap is worn", "synthetic set", "name at least one placement");
  }
  auto sorted = setup.placements;
  std::sort(sorted.begin(), sorted.end());
  const auto twice = std::adjacent_find(sorted.begin(), sorted.end());
  if (twice != sorted.end()) {
    return dsp::fail("two straps on one place", dsp::to_string(*twice), "name it once");
  }
  for (const dsp::Placement placement : setup.placements) {
    if (motion.has(placement.segment)) continue;
    return dsp::fail("this movement's simulator has no " + dsp::to_string(placement),
                     "synthetic set", "leave that strap out");
  }
  const bool rates = setup.rate_hz >= 10.0 && setup.rate_hz <= 5000.0 && setup.tick_hz >= 1000.0 &&
                     setup.tick_hz <= 1e9 && setup.rate_error >= 0.0 && setup.rate_error < 0.5;
  if (!rates) {
    return dsp::fail("sample rate or tick rate out of bounds", "synthetic set",
                     "choose 10 to 5000 Hz, ticks of 1 kHz to 1 GHz");
  }
  auto part = setup.own_part ? setup.own_part : sensor_part(setup.part);
  if (!part) return dsp::fail("unknown sensor part", setup.part, "choose one of " + part_names());
  return *std::move(part);
}

dsp::BodyDimensions stated_body(const BodyBuild& build, std::uint64_t seed) {
  const BodyLengths body = lengths_of(build);
  dsp::BodyDimensions stated;
  stated.height = body.height;
  if (!build.lengths_known) return stated;
  Random random(seed, kTapeStream);
  const double sd = build.tape_sd;
  constexpr double kLimit = 2.5;
  stated.thigh = random.normal_within(body.thigh, sd, kLimit);
  stated.shank = random.normal_within(body.shank, sd, kLimit);
  stated.foot = random.normal_within(body.foot, sd, kLimit);
  return stated;
}

/// How far each rep truly turns the straps.
void add_turns(const BodyMotion& motion, const std::vector<SyntheticStrap>& straps,
               std::vector<RepTruth>& reps) {
  for (RepTruth& rep : reps) {
    for (const SyntheticStrap& strap : straps) {
      const Eigen::Matrix3d start = strap_state(motion, strap.mount, rep.start_s).world_from_sensor;
      const Eigen::Matrix3d turn = strap_state(motion, strap.mount, rep.turn_s).world_from_sensor;
      rep.strap_turn[strap.mount.placement] =
          Eigen::AngleAxisd(Eigen::Matrix3d(turn * start.transpose())).angle();
    }
  }
}

/// What the straps' vertical velocity truly is while each rep lifts: mean and peak on a fine grid.
void add_velocities(const BodyMotion& motion, const std::vector<SyntheticStrap>& straps,
                    std::vector<RepTruth>& reps) {
  constexpr int kSteps = 100;
  for (RepTruth& rep : reps) {
    const double from = motion.lowers_first() ? rep.turn_out_s : rep.start_s;
    const double to = motion.lowers_first() ? rep.end_s : rep.turn_in_s;
    for (const SyntheticStrap& strap : straps) {
      TrueVelocity& v = rep.velocity[strap.mount.placement];
      for (int i = 0; i < kSteps; ++i) {
        const double t = from + (to - from) * (i + 0.5) / kSteps;
        const double up = strap_state(motion, strap.mount, t).velocity.y();
        v.mean += up / kSteps;
        v.peak = i == 0 ? up : std::max(v.peak, up);
      }
    }
  }
}

/// Straps the movement and records it: the same for every movement.
dsp::Result<SyntheticSet> record_set(const BodyMotion& motion, const StrapSetup& setup,
                                     const TruthDetail& detail, bool worn = true) {
  const auto part = check_setup(setup, motion);
  if (!part) return tl::make_unexpected(part.error());
  SyntheticSet set;
  set.reps = rep_truth(motion);
  set.lowers_first = motion.lowers_first();
  std::vector<SyntheticStrap> straps;
  for (const dsp::Placement placement : setup.placements) {
    straps.push_back(record_strap(motion, placement, setup, *part, worn));
    set.straps.push_back(straps.back().truth);
  }
  add_velocities(motion, straps, set.reps);
  add_turns(motion, straps, set.reps);
  Recording& recording = set.recording;
  recording.parts = motion.parts();
  recording.source = "synthetic";
  recording.truth_json = truth_json(motion, set.reps, straps, detail);
  for (SyntheticStrap& strap : straps) recording.straps.push_back(std::move(strap.record));
  return set;
}

using Stirring =
    std::function<std::shared_ptr<const BodyMotion>(std::shared_ptr<const BodyMotion>)>;

template <class Params>
dsp::Result<SyntheticSet> make_set(const Params& params, const StrapSetup& setup,
                                   const TruthDetail& detail, const Stirring& stirring = {}) {
  const auto made = make_motion(params);
  if (!made) return tl::make_unexpected(made.error());
  using Motion = std::decay_t<decltype(*made)>;
  std::shared_ptr<const BodyMotion> motion = std::make_shared<Motion>(*made);
  if (stirring) motion = stirring(std::move(motion));
  auto set = record_set(*motion, setup, detail);
  if (!set) return set;
  set->recording.description = params.description;
  set->recording.description.movement = movement_name(params.movement);
  if (set->recording.description.client.empty()) {
    set->recording.description.client = "stretcher lead";
  }
  set->recording.body = stated_body(params.body, params.seed);
  return set;
}

/// No rep, and that much time instead.
void empty_set(ArmSetParams& params, double seconds) {
  params.reps = 0;
  params.parts.before_ready = seconds;
}
template <class Params>
void empty_set(Params& params, double seconds) {
  params.reps = 0;
  params.parts.before_set = seconds;
}

}  // namespace

dsp::Result<SyntheticSet> synthesize_set(const SquatSetParams& params, const StrapSetup& setup,
                                         const TruthDetail& detail) {
  return make_set(params, setup, detail);
}

dsp::Result<SyntheticSet> synthesize_set(const ArmSetParams& params, const StrapSetup& setup,
                                         const TruthDetail& detail) {
  return make_set(params, setup, detail);
}

dsp::Result<SyntheticSet> synthesize_set(const OneLegSetParams& params, const StrapSetup& setup,
                                         const TruthDetail& detail) {
  return make_set(params, setup, detail);
}

dsp::Result<SyntheticSet> synthesize_set(const SetParams& params, const StrapSetup& setup,
                                         const TruthDetail& detail) {
  return std::visit([&](const auto& one) { return make_set(one, setup, detail); }, params);
}

dsp::Result<SyntheticSet> synthesize_set(const SetParams& params, const StrapSetup& setup,
                                         const TruthDetail& detail,
                                         const Disturbances& disturbances) {
  const Stirring stirring = [&](auto motion) { return stirred(std::move(motion), disturbances); };
  return std::visit([&](const auto& one) { return make_set(one, setup, detail, stirring); },
                    disturbed(params, disturbances));
}

dsp::Result<SyntheticSet> synthesize_idle(const IdleParams& idle, const StrapSetup& setup) {
  if (!(idle.minutes > 0.0 && idle.minutes <= 60.0)) {
    return dsp::fail("so long a recording is not made", "synthetic recording",
                     "choose up to 60 minutes");
  }
  auto params = random_params(idle.expected, idle.seed);
  if (!params) return tl::make_unexpected(params.error());
  constexpr double kMinute = 60.0;  // s
  std::visit([&](auto& one) { empty_set(one, kMinute * idle.minutes); }, *params);
  const Stirring stirring = [&](auto motion) { return idling(std::move(motion), idle.seed); };
  return std::visit([&](const auto& one) { return make_set(one, setup, {}, stirring); }, *params);
}

dsp::Result<SyntheticSet> synthesize_desk(const DeskParams& params, const StrapSetup& setup) {
  if (params.poses < 1 || params.poses > 100 || params.turns < 0 || params.turns > 20) {
    return dsp::fail("so many poses or turns are not made", "synthetic desk",
                     "choose 1 to 100 poses, 0 to 20 turns");
  }
  auto set = record_set(DeskMotion(params), setup, {}, false);
  if (!set) return set;
  set->recording.description.client = "calibration";
  set->recording.description.movement = kFree;
  return set;
}

dsp::Result<Recording> synthesize(const SquatSetParams& params, const StrapSetup& setup,
                                  const TruthDetail& detail) {
  auto set = synthesize_set(params, setup, detail);
  if (!set) return tl::make_unexpected(set.error());
  return std::move(set->recording);
}

}  // namespace strapline::recordings::synthetic
