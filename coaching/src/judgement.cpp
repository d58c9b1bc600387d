#include "strapline/coaching/judgement.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/rep_listing.hpp"

namespace strapline::coaching {
namespace {

constexpr std::size_t kMostNamed = 2;
/// A share of 0.8 of 5 reps is 4 reps, whatever the last digit of the product.
constexpr double kRounding = 1e-9;

void count(RepVerdict verdict, Tally& tally) {
  switch (verdict) {
    case RepVerdict::inside:
      ++tally.inside;
      return;
    case RepVerdict::outside:
      ++tally.outside;
      return;
    case RepVerdict::too_close:
      ++tally.too_close;
      return;
    case RepVerdict::not_measured:
      ++tally.not_measured;
      return;
    case RepVerdict::other_side:
      return;
  }
}

bool is_of_other_side(const dsp::Rep& rep, const std::string& measure) {
  const auto name = parse_measure_name(measure);
  return name && name->side != dsp::Side::middle && rep.side != dsp::Side::middle &&
         name->side != rep.side;
}

Holding holding_of(const Aim& aim, const JudgedSet& set) {
  if (aim.movement != set.movement) return Holding::other_movement;
  if (!aim.holds_for) return Holding::holds;
  const auto load = load_on(aim.holds_for->scale, set.with);
  if (!load) {
    return load.error() == Unknown::load ? Holding::load_unknown : Holding::body_mass_unknown;
  }
  const Band& range = aim.holds_for->load;
  if (range.low && *load < *range.low) return Holding::load_too_low;
  if (range.high && *load > *range.high) return Holding::load_too_high;
  return Holding::holds;
}

RepFinding judge_rep(const dsp::Rep& rep, std::size_t index, const std::string& measure,
                     const Band& edges) {
  RepFinding finding;
  if (is_of_other_side(rep, measure)) {
    finding.verdict = RepVerdict::other_side;
  } else if (const auto* value = measured(rep, measure)) {
    finding = judge_value(*value, edges);
  } else if (const auto found = rep.measures.find(measure); found != rep.measures.end()) {
    finding.not_measured = std::get<dsp::NotMeasured>(found->second).reason;
  }
  finding.rep = index;
  return finding;
}

double smallest_difference(const JudgedSet& set, const std::string& measure, dsp::Unit unit) {
  const auto& known = set.smallest_that_matters;
  if (const auto own = known.find(measure); own != known.end()) return own->second;
  if (const auto parsed = parse_measure_name(measure)) {
    if (const auto base = known.find(parsed->base); base != known.end()) return base->second;
  }
  return default_difference(unit);
}

double weight_of(const MeasureJudgement& judged, const JudgedSet& set) {
  const double smallest = smallest_difference(set, judged.measure, judged.band.unit);
  double sum = 0.0;
  for (const RepFinding& finding : judged.reps) {
    if (finding.verdict == RepVerdict::outside) {
      sum += finding.beyond / std::max(smallest, finding.measured->u);
    }
  }
  // Share of the measured reps times mean over those outside.
  return judged.tally.measured() == 0 ? 0.0 : sum / judged.tally.measured();
}

MeasureJudgement judge_measure(const AimBand& band, const std::string& measure, double strictness,
                               const JudgedSet& set) {
  MeasureJudgement judged;
  judged.measure = measure;
  judged.band = band;
  const auto edges = edges_at(band, set.with);
  if (!edges) {
    judged.unknown = edges.error();
    return judged;
  }
  judged.edges = *edges;
  for (std::size_t i = 0; i < set.reps.size(); ++i) {
    if (set.reps[i].part) continue;
    judged.reps.push_back(judge_rep(set.reps[i], i, measure, *edges));
    count(judged.reps.back().verdict, judged.tally);
  }
  judged.verdict = judge_tally(judged.tally, strictness);
  judged.weight = weight_of(judged, set);
  return judged;
}

std::vector<MeasureJudgement> judge_measures(const Aim& aim, const JudgedSet& set) {
  std::vector<MeasureJudgement> all;
  const std::vector<std::string> names = measure_names(set.reps);
  for (const AimBand& band : aim.bands) {
    bool known = false;
    for (const std::string& name : names) {
      if (!concerns(band, name)) continue;
      known = true;
      all.push_back(judge_measure(band, name, aim.strictness, set));
    }
    if (!known) all.push_back(judge_measure(band, band.measure, aim.strictness, set));
  }
  return all;
}

RepVerdict first_that_applies(const std::vector<MeasureJudgement>& measures, std::size_t position) {
  const auto any = [&](RepVerdict verdict) {
    return std::any_of(measures.begin(), measures.end(), [&](const MeasureJudgement& judged) {
      return judged.tally.measured() > 0 && judged.reps[position].verdict == verdict;
    });
  };
  for (const auto verdict :
       {RepVerdict::outside, RepVerdict::too_close, RepVerdict::not_measured, RepVerdict::inside}) {
    if (any(verdict)) return verdict;
  }
  return RepVerdict::not_measured;
}

void judge_reps(const JudgedSet& set, AimJudgement& judgement) {
  for (std::size_t i = 0; i < set.reps.size(); ++i) {
    if (set.reps[i].part) continue;
    const RepVerdict verdict = first_that_applies(judgement.measures, judgement.reps.size());
    judgement.reps.push_back({i, verdict});
    count(verdict, judgement.tally);
  }
  judgement.verdict = judge_tally(judgement.tally, judgement.aim.strictness);
}

bool same_thing(const std::string& a, const std::string& b) {
  const auto of_a = parse_measure_name(a);
  const auto of_b = parse_measure_name(b);
  return of_a && of_b && of_a->base == of_b->base;
}

std::vector<std::size_t> heaviest(const std::vector<MeasureJudgement>& measures) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < measures.size(); ++i) {
    if (measures[i].weight > 0.0) order.push_back(i);
  }
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return measures[a].weight > measures[b].weight;
  });
  std::vector<std::size_t> named;
  for (const std::size_t i : order) {
    const bool is_named = std::any_of(named.begin(), named.end(), [&](std::size_t k) {
      return same_thing(measures[k].measure, measures[i].measure);
    });
    if (!is_named && named.size() < kMostNamed) named.push_back(i);
  }
  return named;
}

}  // namespace

int reps_needed(double strictness, int reps) {
  return static_cast<int>(std::ceil(strictness * reps - kRounding));
}

SetVerdict judge_tally(const Tally& tally, double strictness) {
  if (tally.measured() == 0) return SetVerdict::not_judged;
  const int needed = reps_needed(strictness, tally.all());
  if (tally.inside >= needed) return SetVerdict::met;
  return tally.all() - tally.outside < needed ? SetVerdict::not_met : SetVerdict::cannot_tell;
}

RepFinding judge_value(const dsp::MeasuredValue& measured, const Band& edges) {
  RepFinding finding;
  finding.measured = measured;
  finding.verdict = RepVerdict::inside;
  const double unsure = kEdgeCoverage * measured.u;
  const auto look_at = [&](Edge edge, const std::optional<double>& at, double sign) {
    if (!at) return;
    const double beyond = sign * (measured.value - *at);
    const bool close = std::abs(beyond) < unsure;
    if (!close && beyond <= 0.0) return;  // inside of this edge
    const bool nearer = !finding.edge || std::abs(beyond) < std::abs(finding.beyond);
    if (finding.edge && !nearer) return;
    finding.edge = edge;
    finding.beyond = beyond;
    finding.verdict = close ? RepVerdict::too_close : RepVerdict::outside;
  };
  look_at(Edge::low, edges.low, -1.0);
  look_at(Edge::high, edges.high, 1.0);
  return finding;
}

double default_difference(dsp::Unit unit) {
  constexpr double kAngle = 0.0873;  // rad, 5°
  constexpr double kDistance = 0.02;
  constexpr double kDuration = 0.5;
  constexpr double kVelocity = 0.1;
  switch (unit) {
    case dsp::Unit::radian:
      return kAngle;
    case dsp::Unit::metre:
      return kDistance;
    case dsp::Unit::second:
      return kDuration;
    case dsp::Unit::metre_per_second:
      return kVelocity;
    case dsp::Unit::one:
      break;
  }
  return 1.0;
}

AimJudgement judge_set(const Aim& aim, const JudgedSet& set) {
  AimJudgement judgement;
  judgement.aim = aim;
  judgement.with = set.with;
  judgement.holding = holding_of(aim, set);
  if (!aim.variation.empty() && aim.variation != set.variation) {
    judgement.other_variation = set.variation;
  }
  const bool judges = judgement.holding == Holding::holds ||
                      judgement.holding == Holding::load_unknown ||
                      judgement.holding == Holding::body_mass_unknown;
  if (!judges) return judgement;
  judgement.measures = judge_measures(aim, set);
  judge_reps(set, judgement);
  judgement.matters_most = heaviest(judgement.measures);
  return judgement;
}

SetVerdict whole_verdict(const AimJudgement& judgement) {
  if (judgement.verdict != SetVerdict::met) return judgement.verdict;
  const bool whole =
      std::all_of(judgement.measures.begin(), judgement.measures.end(),
                  [](const MeasureJudgement& judged) { return judged.tally.measured() > 0; });
  return whole ? SetVerdict::met : SetVerdict::not_judged;
}

}  // namespace strapline::coaching
