#include "strapline/coaching/cautions.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "strapline/coaching/judgement.hpp"
#include "strapline/coaching/rep_listing.hpp"

#include "knee_line_cautions.hpp"

namespace strapline::coaching {
namespace {

constexpr std::string_view kAgreed = "agreed with the client";
constexpr std::string_view kPain =
    "common practice: stop on pain; scales of 0 to 10 are in use with limits up to 2 or 3";
constexpr std::string_view kOneAtATime = "common practice: new range or new load, one at a time";
constexpr std::string_view kRangeLoss = "common practice";
constexpr std::string_view kVelocityLoss =
    "velocity loss tracks fatigue: Sánchez-Medina & González-Badillo 2011, doi "
    "10.1249/MSS.0b013e318213f880";

using Cautions = std::vector<Caution>;

void add_pain(const CautionInput& input, Cautions& cautions) {
  if (!input.set.pain || *input.set.pain <= input.limits.pain) return;
  Caution caution;
  caution.kind = CautionKind::pain_above_limit;
  caution.from = input.limits.pain;
  caution.to = *input.set.pain;
  caution.source = kPain;
  cautions.push_back(caution);
}

void add_load(const CautionInput& input, Cautions& cautions) {
  const auto greatest = input.limits.load_kg.find(input.set.movement);
  if (greatest == input.limits.load_kg.end() || !input.set.load_kg) return;
  if (*input.set.load_kg <= greatest->second) return;
  Caution caution;
  caution.kind = CautionKind::load_above_agreed;
  caution.from = greatest->second;
  caution.to = *input.set.load_kg;
  caution.source = kAgreed;
  cautions.push_back(caution);
}

/// The rep that is furthest beyond the limit, where any is clearly beyond it.
std::optional<Caution> furthest_beyond(const std::vector<dsp::Rep>& reps,
                                       const std::string& measure, const Band& limit) {
  std::optional<Caution> caution;
  double most = 0.0;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const auto* value = measured(reps[i], measure);
    if (value == nullptr) continue;
    const RepFinding finding = judge_value(*value, limit);
    if (finding.verdict != RepVerdict::outside || finding.beyond <= most) continue;
    most = finding.beyond;
    caution.emplace();
    caution->kind = CautionKind::range_beyond_agreed;
    caution->measure = measure;
    caution->unit = value->unit;
    caution->rep = i;
    caution->from = *finding.edge == Edge::low ? *limit.low : *limit.high;
    caution->to = value->value;
    caution->source = kAgreed;
  }
  return caution;
}

void add_ranges(const CautionInput& input, Cautions& cautions) {
  for (const std::string& measure : measure_names(input.reps)) {
    const auto limit = range_limit(input.limits, measure);
    if (!limit) continue;
    if (auto caution = furthest_beyond(input.reps, measure, *limit)) cautions.push_back(*caution);
  }
}

void add_accustomed(const CautionInput& input, Cautions& cautions) {
  if (!input.accustomed || !(input.accustomed->new_load || input.accustomed->new_range)) return;
  Caution caution;
  caution.kind = CautionKind::jump_in_load;
  if (input.accustomed->new_range) caution.kind = CautionKind::jump_in_range;
  if (input.accustomed->new_range && input.accustomed->new_load) {
    caution.kind = CautionKind::new_load_at_new_range;
  }
  caution.accustomed = input.accustomed;
  caution.source = kOneAtATime;
  cautions.push_back(caution);
}

double median_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2.0;
}

/// The first rep whose value is lower by the share, and by more than measuring two reps can make
/// of it, than the median of the full reps before. A part rep can lose; it is no "before".
std::optional<Caution> first_loss(const std::vector<dsp::Rep>& reps, const std::string& measure,
                                  double share, int least_before) {
  std::vector<double> before;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const auto* value = measured(reps[i], measure);
    if (value == nullptr) continue;
    if (before.size() >= static_cast<std::size_t>(least_before)) {
      const double usual = median_of(before);
      const double noise = kEdgeCoverage * std::numbers::sqrt2 * value->u;
      const double loss = usual - value->value;
      if (loss > share * std::abs(usual) && loss > noise) {
        Caution caution;
        caution.measure = measure;
        caution.unit = value->unit;
        caution.rep = i;
        caution.from = usual;
        caution.to = value->value;
        caution.noise = noise;
        return caution;
      }
    }
    if (!reps[i].part) before.push_back(value->value);
  }
  return std::nullopt;
}

void add_losses(const CautionInput& input, const CautionParameters& parameters,
                Cautions& cautions) {
  const auto add = [&](const char* measure, double share, CautionKind kind,
                       std::string_view source) {
    auto caution = first_loss(input.reps, measure, share, parameters.least_reps_before);
    if (!caution) return;
    caution->kind = kind;
    caution->source = source;
    cautions.push_back(std::move(*caution));
  };
  add("range", parameters.range_loss, CautionKind::sudden_loss_of_range, kRangeLoss);
  add("concentric_velocity", parameters.velocity_loss, CautionKind::sudden_loss_of_velocity,
      kVelocityLoss);
}

void append(Cautions more, Cautions& cautions) {
  cautions.insert(cautions.end(), std::make_move_iterator(more.begin()),
                  std::make_move_iterator(more.end()));
}

}  // namespace

std::vector<Caution> find_cautions(const CautionInput& input, const CautionParameters& parameters) {
  Cautions cautions;
  add_pain(input, cautions);
  add_load(input, cautions);
  add_ranges(input, cautions);
  add_accustomed(input, cautions);
  append(knee_line_over_reps(input, parameters), cautions);
  append(knee_line_over_loads(input, parameters), cautions);
  add_losses(input, parameters, cautions);
  return cautions;
}

}  // namespace strapline::coaching
