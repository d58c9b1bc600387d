#include "strapline/cli/synthetic_study.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <optional>
#include <thread>

#include "strapline/cli/analysis.hpp"
#include "strapline/coaching/movement.hpp"
#include "strapline/dsp/error_budget.hpp"
#include "strapline/recordings/synthetic/random.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

#include "rep_matching.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;

/// One true value beside what the analysis said of it.
struct Pair {
  std::string base;
  double truth = 0.0;
  std::optional<dsp::MeasuredValue> seen;
};

struct SetOutcome {
  std::string failure;
  bool exact = false;
  RepMatch match;  ///< its pointers are not to be followed any more
  std::vector<Pair> pairs;
  LiveAgreement live;
};

/// Measures that the movement does not list or whose strap is not worn are not compared; others
/// without a value count as missing.
void compare(const std::string& base, const std::string& name, double truth, const dsp::Rep& rep,
             std::vector<Pair>& pairs) {
  const auto found = rep.measures.find(name);
  if (found == rep.measures.end()) return;
  const auto* missing = std::get_if<dsp::NotMeasured>(&found->second);
  if (missing != nullptr && missing->reason.starts_with("needs a strap")) return;
  Pair pair{base, truth, std::nullopt};
  if (const auto* value = std::get_if<dsp::MeasuredValue>(&found->second)) pair.seen = *value;
  pairs.push_back(pair);
}

/// "knee_travel_left" → "knee_travel": both sides are pooled.
std::string without_side(const std::string& name) {
  for (const dsp::Side side : {dsp::Side::left, dsp::Side::right}) {
    const std::string suffix = dsp::side_suffix(side);
    if (name.ends_with(suffix)) return name.substr(0, name.size() - suffix.size());
  }
  return name;
}

/// The hold in the start posture is a phase only where the same rep follows: what is missed or
/// invented there is counted as such, and would make it longer or shorter by a whole pause.
void compare_tempo(const MatchedRep& matched, bool lowers_first, std::vector<Pair>& pairs) {
  const synthetic::RepTruth& truth = *matched.truth;
  const dsp::Rep& rep = *matched.seen;
  const auto add = [&](const char* lowering_first, const char* lifting_first, double duration) {
    const std::string name = lowers_first ? lowering_first : lifting_first;
    compare(name, name, duration, rep, pairs);
  };
  add("lowering_s", "lifting_s", truth.turn_in_s - truth.start_s);
  add("bottom_hold_s", "top_hold_s", truth.turn_out_s - truth.turn_in_s);
  add("lifting_s", "lowering_s", truth.end_s - truth.turn_out_s);
  if (truth.start_hold_s && matched.same_next)
    add("top_hold_s", "bottom_hold_s", *truth.start_hold_s);
  const auto border = [&](double t, double seen) {
    pairs.push_back({"border_s", t, dsp::MeasuredValue{seen, 0.0, dsp::Unit::second}});
  };
  border(truth.start_s, rep.start_s);
  border(truth.turn_in_s, rep.turn_in_s);
  border(truth.turn_out_s, rep.turn_out_s);
  border(truth.end_s, rep.end_s);
}

void compare_rep(const MatchedRep& matched, bool lowers_first, std::vector<Pair>& pairs) {
  const synthetic::RepTruth& truth = *matched.truth;
  const dsp::Rep& rep = *matched.seen;
  for (const auto& [name, value] : truth.measures) {
    if (name.starts_with("knee_line_angle_at_turn")) continue;  // rarely defined there
    if (std::isfinite(value.value)) compare(without_side(name), name, value.value, rep, pairs);
  }
  if (std::isfinite(truth.range)) compare("range", "range", truth.range, rep, pairs);
  compare_tempo(matched, lowers_first, pairs);
}

/// The strap that the analysis takes the velocity of.
std::optional<dsp::Placement> velocity_strap(const recordings::Recording& recording) {
  const auto movement = coaching::load_movement(recording.description.movement);
  if (!movement) return std::nullopt;
  for (const dsp::Segment segment : movement->velocity_of) {
    for (const auto& strap : recording.straps) {
      if (strap.placement.segment == segment) return strap.placement;
    }
  }
  return std::nullopt;
}

void compare_velocity(const recordings::Recording& recording, const MatchedRep& rep,
                      std::vector<Pair>& pairs) {
  const auto strap = velocity_strap(recording);
  if (!strap) return;
  const synthetic::TrueVelocity& v = rep.truth->velocity.at(*strap);
  compare("concentric_velocity", "concentric_velocity", v.mean, *rep.seen, pairs);
  compare("concentric_velocity_peak", "concentric_velocity_peak", v.peak, *rep.seen, pairs);
}

using MadeSet = dsp::Result<synthetic::SyntheticSet>;

/// The next stance, where feet are to be placed anew; other movements keep theirs.
void place_feet_anew(synthetic::SetParams& params, std::uint64_t seed) {
  auto* squat = std::get_if<synthetic::SquatSetParams>(&params);
  if (squat != nullptr) squat->restance = synthetic::random_restance(seed);
}

/// The movement's straps, mounted badly.
synthetic::StrapSetup mounted(const StudyOptions& options, const synthetic::SetParams& params,
                              std::uint64_t seed) {
  synthetic::StrapSetup setup = synthetic::usual_straps(params);
  if (options.feet && !std::holds_alternative<synthetic::ArmSetParams>(params)) {
    setup.placements.push_back({dsp::Segment::foot, dsp::Side::left});
    setup.placements.push_back({dsp::Segment::foot, dsp::Side::right});
  }
  setup.seed = seed;
  setup.part = options.part;
  setup.max_tilt = options.max_tilt;
  setup.max_twist = options.max_twist;
  setup.soft_tissue = synthetic::scaled(setup.soft_tissue, options.soft_tissue);
  setup.soft_tissue.thigh = options.thigh_tissue.value_or(setup.soft_tissue.thigh);
  setup.soft_tissue.upper_arm = options.thigh_tissue.value_or(setup.soft_tissue.upper_arm);
  setup.soft_tissue.shank = options.shank_tissue.value_or(setup.soft_tissue.shank);
  setup.soft_tissue.forearm = options.shank_tissue.value_or(setup.soft_tissue.forearm);
  setup.soft_tissue.trunk = options.shank_tissue.value_or(setup.soft_tissue.trunk);
  return setup;
}

/// A part rep reaches less than half of the set's median range (measures.md), and the range of a
/// free set is its strap's own turn: in a press by a third an upper arm may turn by more than half
/// of its way. What lies within a tenth of half may be called either. Where the strap hardly turns,
/// the range angle of the movement tells, as ever.
void judge_part_reps_by_turn(std::vector<synthetic::RepTruth>& reps, dsp::Placement worn) {
  constexpr double kTurns = 0.5;  // rad
  constexpr double kNear = 0.1;   // 1, of the median turn
  std::vector<double> turns;
  for (const synthetic::RepTruth& rep : reps) turns.push_back(rep.strap_turn.at(worn));
  if (turns.empty()) return;
  const auto middle = turns.begin() + static_cast<std::ptrdiff_t>(turns.size() / 2);
  std::nth_element(turns.begin(), middle, turns.end());
  if (*middle < kTurns) return;
  for (synthetic::RepTruth& rep : reps) {
    const double share = rep.strap_turn.at(worn) / *middle;
    rep.part = share < 0.5;
    rep.doubtful = std::abs(share - 0.5) < kNear;
  }
}

/// A set of any movement under the name of the free one. Its range is relative, its first phase is
/// called the lowering one whatever it is.
MadeSet make_free_set(const StudyOptions& options, std::uint64_t seed) {
  const synthetic::FreeSet free = synthetic::random_free_set(seed);
  synthetic::StrapSetup setup = mounted(options, free.params, seed);
  setup.placements = free.straps.placements;
  auto set = synthetic::synthesize_set(free.params, setup, {}, options.disturbances);
  if (!set) return set;
  set->recording.description.movement = synthetic::kFree;
  set->lowers_first = true;
  judge_part_reps_by_turn(set->reps, setup.placements.front());
  for (synthetic::RepTruth& rep : set->reps) {
    rep.side = dsp::Side::middle;
    rep.measures.clear();
    rep.range = std::numeric_limits<double>::quiet_NaN();
  }
  return set;
}

MadeSet make_set(const StudyOptions& options, std::uint64_t seed) {
  if (options.movement == synthetic::kFree) return make_free_set(options, seed);
  auto params = synthetic::random_params(options.movement, seed, options.spread);
  if (!params) return tl::make_unexpected(params.error());
  if (options.feet) place_feet_anew(*params, seed);
  return synthetic::synthesize_set(*params, mounted(options, *params, seed), {},
                                   options.disturbances);
}

/// Recordings hold the true lengths; who takes them with a tape is off by as much as is stated.
void measure_lengths(dsp::BodyDimensions& body, double sd, std::uint64_t seed) {
  constexpr std::uint64_t kStream = 50;
  synthetic::Random random(seed, kStream);
  for (auto* length : {&body.thigh, &body.shank, &body.foot, &body.upper_arm, &body.forearm}) {
    const double error = random.normal(0.0, sd);
    if (*length) **length += error;
  }
}

/// Clients are drawn with these, so they are what is known of the client. The bones of the
/// simulator stand square on their hinges.
void state_client(const StudyOptions& options, std::uint64_t seed, dsp::BodyDimensions& body) {
  if (options.movement == synthetic::kFree) return;
  const dsp::ErrorBudget usual;
  measure_lengths(body, usual.length_measured, seed);
  body.soft_tissue_thigh =
      options.thigh_tissue.value_or(options.soft_tissue * usual.soft_tissue_thigh);
  body.soft_tissue_limb =
      options.shank_tissue.value_or(options.soft_tissue * usual.soft_tissue_limb);
  body.standing_lean = options.spread.standing * usual.standing;
  body.toe_line = options.spread.bends * usual.toe_line;
  body.raise_plane = options.spread.bends * usual.raise_plane;
  body.bow_plane = options.spread.bends * usual.bow_plane;
  body.hinge_square = 0.0;
}

SetOutcome run_set(const StudyOptions& options, std::uint64_t seed) {
  SetOutcome outcome;
  const auto made = make_set(options, seed);
  if (!made) {
    outcome.failure = made.error().line();
    return outcome;
  }
  recordings::Recording recording = made->recording;
  state_client(options, seed, recording.body);
  const auto input = to_set_input(recording);
  const auto seen = input ? dsp::analyse_set(*input) : tl::make_unexpected(input.error());
  if (!seen) {
    outcome.failure = seen.error().line();
    return outcome;
  }
  if (options.live) outcome.live = compare_live(play_live(*input), seen->reps);
  outcome.match = match_reps(made->reps, seen->reps);
  outcome.exact = outcome.match.full_seen == outcome.match.full_true;
  for (const MatchedRep& rep : outcome.match.full) {
    compare_rep(rep, made->lowers_first, outcome.pairs);
    compare_velocity(made->recording, rep, outcome.pairs);
  }
  return outcome;
}

void add_pair(const Pair& pair, MeasureError& error) {
  if (!pair.seen) {
    ++error.missing;
    return;
  }
  const double factor = dsp::display_factor(pair.seen->unit);
  const double difference = factor * (pair.seen->value - pair.truth);
  error.unit = dsp::display_unit(pair.seen->unit);
  ++error.n;
  error.bias += difference;
  error.rmse += difference * difference;
  error.mean_abs += std::abs(difference);
  error.worst = std::max(error.worst, std::abs(difference));
  error.stated_u += factor * factor * pair.seen->u * pair.seen->u;
  if (std::abs(difference) <= 1.96 * factor * pair.seen->u) error.coverage95 += 1.0;
}

void finish(MeasureError& error) {
  if (error.n == 0) return;
  error.bias /= error.n;
  error.mean_abs /= error.n;
  error.rmse = std::sqrt(error.rmse / error.n);
  error.stated_u = std::sqrt(error.stated_u / error.n);
  error.coverage95 /= error.n;
}

std::vector<SetOutcome> run_all(const StudyOptions& options) {
  std::vector<SetOutcome> outcomes(static_cast<std::size_t>(std::max(0, options.sets)));
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t k = next++; k < outcomes.size(); k = next++) {
      outcomes[k] = run_set(options, options.seed + k);
    }
  };
  std::vector<std::thread> threads;
  for (unsigned k = 1; k < std::thread::hardware_concurrency(); ++k) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) thread.join();
  return outcomes;
}

void add_match(const RepMatch& match, StudyResult& result) {
  result.reps += match.full_true;
  result.part_reps += match.part_true;
  result.part_found += match.part_found;
  result.doubtful += match.doubtful;
  result.part_false += match.part_false;
  result.missed += match.missed;
  result.invented += match.invented;
  result.sided += match.sided;
  result.wrong_side += match.wrong_side;
}

constexpr double kIdleLength = 10.0;  // minutes, of one recording

/// One recording without a rep.
void add_idle(const StudyOptions& options, std::uint64_t seed, double minutes, IdleOutcome& row) {
  row.minutes += minutes;
  const auto params = synthetic::random_params(row.expected, seed);
  const auto made =
      synthetic::synthesize_idle({seed, row.expected, minutes}, mounted(options, *params, seed));
  const auto input = made ? to_set_input(made->recording) : tl::make_unexpected(made.error());
  const auto seen = input ? dsp::analyse_set(*input) : tl::make_unexpected(input.error());
  if (!seen) {
    row.failure = seen.error().line();
    return;
  }
  row.counted += seen->full_reps();
  row.part_counted += static_cast<int>(seen->reps.size()) - seen->full_reps();
  if (!options.live) return;
  if (!row.live) row.live = LiveAgreement{};
  row.live->add(compare_live(play_live(*input), {}));
}

}  // namespace

StudyResult run_synthetic_study(const StudyOptions& options) {
  StudyResult result;
  std::uint64_t seed = options.seed;
  for (const SetOutcome& outcome : run_all(options)) {
    ++result.sets;
    add_match(outcome.match, result);
    result.live.add(outcome.live);
    if (!outcome.failure.empty()) result.failures.push_back(outcome.failure);
    if (outcome.exact) {
      ++result.sets_with_exact_count;
    } else {
      result.wrong_counts.push_back(seed);
    }
    for (const Pair& pair : outcome.pairs) add_pair(pair, result.errors[pair.base]);
    ++seed;
  }
  for (auto& [name, error] : result.errors) finish(error);
  return result;
}

std::vector<IdleOutcome> run_idle_study(const StudyOptions& options, double minutes) {
  std::vector<IdleOutcome> rows;
  for (const char* expected : {"squat", "push_up"}) {
    IdleOutcome row;
    row.expected = expected;
    for (std::uint64_t k = 0; row.failure.empty() && row.minutes < minutes - 0.01; ++k) {
      add_idle(options, options.seed + k, std::min(kIdleLength, minutes - row.minutes), row);
    }
    rows.push_back(row);
  }
  return rows;
}

}  // namespace strapline::cli
