#include "knee_line_cautions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/rep_listing.hpp"
#include "strapline/coaching/trend.hpp"

namespace strapline::coaching {
namespace {

constexpr std::string_view kSource = "common practice: the knee is a hinge";

/// The distance says more than the angle; the angle counts where a side has no distance.
constexpr std::array<std::array<const char*, 2>, 2> kBySide{
    {{"knee_line_distance_left", "knee_line_angle_left"},
     {"knee_line_distance_right", "knee_line_angle_right"}}};

/// Values over reps or over loads, each with its standard uncertainty.
struct Points {
  std::vector<double> at, value, u;
  dsp::Unit unit = dsp::Unit::one;

  void add(double where, double what, double error) {
    at.push_back(where);
    value.push_back(what);
    u.push_back(error);
  }
  [[nodiscard]] double typical_u() const {
    double squares = 0.0;
    for (const double one : u) squares += one * one;
    return std::sqrt(squares / static_cast<double>(u.size()));
  }
};

/// A trend inwards that the interval of its slope supports, that exceeds one standard uncertainty
/// of a value from end to end, and that ends inwards of the line.
std::optional<Caution> growing_inwards(const Points& points, const std::string& measure) {
  const auto trend = theil_sen(points.at, points.value);
  if (!trend || trend->low <= 0.0) return std::nullopt;
  const auto [first, last] = std::minmax_element(points.at.begin(), points.at.end());
  Caution caution;
  caution.measure = measure;
  caution.unit = points.unit;
  caution.from = trend->intercept + trend->slope * *first;
  caution.to = trend->intercept + trend->slope * *last;
  caution.noise = points.typical_u();
  caution.source = kSource;
  if (caution.to <= 0.0 || caution.to - caution.from <= caution.noise) return std::nullopt;
  return caution;
}

Points points_over_reps(const std::vector<dsp::Rep>& reps, const std::string& measure) {
  Points points;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const auto* value = reps[i].part ? nullptr : measured(reps[i], measure);
    if (value == nullptr) continue;
    points.add(static_cast<double>(i), value->value, value->u);
    points.unit = value->unit;
  }
  return points;
}

bool is_like(const ComparedSet& a, const ComparedSet& b) {
  return a.movement == b.movement && a.variation == b.variation && a.kit == b.kit;
}

/// Loaded sets like this one, not older than the days that count and not later than this one.
std::vector<const ComparedSet*> recent_like_sets(const CautionInput& input, double recent_days) {
  std::vector<const ComparedSet*> sets;
  const auto today = days_from_utc(input.set.started_utc);
  for (const ComparedSet& set : input.history) {
    const auto day = days_from_utc(set.started_utc);
    const bool dated = today && day && *day <= *today && *today - *day <= recent_days;
    if (dated && set.load_kg && is_like(set, input.set)) sets.push_back(&set);
  }
  return sets;
}

Points points_over_loads(const std::vector<const ComparedSet*>& sets, const std::string& measure,
                         const ErrorParameters& error) {
  Points points;
  for (const ComparedSet* set : sets) {
    const auto found = set->measures.find(measure);
    if (found == set->measures.end()) continue;
    const SetMean mean = set_mean(found->second, error);
    points.add(*set->load_kg, mean.value, mean.stated_error);
    points.unit = found->second.unit;
  }
  return points;
}

/// The first measure of each side that has enough points, judged.
template <class PointsOf, class Enough>
std::vector<Caution> on_each_side(PointsOf points_of, Enough enough) {
  std::vector<Caution> cautions;
  for (const auto& measures : kBySide) {
    for (const char* measure : measures) {
      const Points points = points_of(measure);
      if (!enough(points)) continue;
      if (auto caution = growing_inwards(points, measure)) cautions.push_back(std::move(*caution));
      break;
    }
  }
  return cautions;
}

}  // namespace

std::vector<std::string> caution_history_measures() {
  std::vector<std::string> names;
  for (const auto& of_side : kBySide) names.insert(names.end(), of_side.begin(), of_side.end());
  return names;
}

std::vector<Caution> knee_line_over_reps(const CautionInput& input,
                                         const CautionParameters& parameters) {
  auto cautions =
      on_each_side([&](const char* measure) { return points_over_reps(input.reps, measure); },
                   [&](const Points& points) {
                     return points.at.size() >= static_cast<std::size_t>(parameters.least_reps);
                   });
  for (Caution& caution : cautions) caution.kind = CautionKind::knee_line_with_fatigue;
  return cautions;
}

std::vector<Caution> knee_line_over_loads(const CautionInput& input,
                                          const CautionParameters& parameters) {
  const auto sets = recent_like_sets(input, parameters.recent_days);
  auto cautions = on_each_side(
      [&](const char* measure) { return points_over_loads(sets, measure, parameters.error); },
      [&](const Points& points) {
        const std::set<double> loads(points.at.begin(), points.at.end());
        return points.at.size() >= static_cast<std::size_t>(parameters.least_sets) &&
               loads.size() >= static_cast<std::size_t>(parameters.least_loads);
      });
  for (Caution& caution : cautions) {
    const Points points = points_over_loads(sets, caution.measure, parameters.error);
    const auto [lightest, heaviest] = std::minmax_element(points.at.begin(), points.at.end());
    caution.kind = CautionKind::knee_line_with_load;
    caution.from_kg = *lightest;
    caution.to_kg = *heaviest;
    caution.sets = static_cast<int>(points.at.size());
  }
  return cautions;
}

}  // namespace strapline::coaching
