#include "strapline/coaching/envelope.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace strapline::coaching {
namespace {

constexpr double kWeek = 7.0;

double age_of(const Envelope& envelope, const HandledSet& set) {
  return std::floor(envelope.today) - std::floor(set.day);
}

/// What a load still counts for after so many days.
double faded(double load_kg, double age_days, const EnvelopeParameters& parameters) {
  const double weeks = std::max(0.0, age_days - parameters.keep_days) / kWeek;
  return load_kg * std::max(0.0, 1.0 - parameters.fade_per_week * weeks);
}

bool reaches(const HandledSet& set, double range, const EnvelopeParameters& parameters) {
  return *set.range >= range - parameters.range_slack;
}

/// Notes why a set is no evidence; true where it is.
bool is_evidence(const HandledSet& set, Envelope& envelope) {
  EnvelopeGaps& gaps = envelope.gaps;
  const double age = age_of(envelope, set);
  if (age < 0.0) return false;
  if (age > envelope.parameters.window_days) {
    ++gaps.too_old;
    return false;
  }
  if (set.pain && *set.pain > envelope.parameters.pain_limit) {
    ++gaps.with_pain;
    return false;
  }
  if (!set.load_kg) ++gaps.load_not_logged;
  const bool measured = set.range && set.reps >= envelope.parameters.least_reps;
  if (!measured) ++gaps.range_not_measured;
  if (!set.load_kg || !measured) return false;
  if (!set.pain) ++gaps.pain_not_logged;
  return true;
}

/// Of equal loads the one handled last.
bool counts_more(const Handled& a, const Handled& b) {
  if (a.counts_as_kg != b.counts_as_kg) return a.counts_as_kg > b.counts_as_kg;
  return a.day > b.day;
}

/// The load that counts most of each day on which the range was reached, the greatest first.
std::vector<Handled> by_day(const Envelope& envelope, double range, EnvelopeBin& bin) {
  const EnvelopeParameters& parameters = envelope.parameters;
  std::map<double, Handled> days;
  for (const HandledSet& set : envelope.evidence) {
    if (!reaches(set, range, parameters)) continue;
    ++bin.sets;
    bin.reps += set.reps;
    const Handled handled{*set.load_kg, faded(*set.load_kg, age_of(envelope, set), parameters),
                          set.day, set.name};
    const auto [entry, first] = days.try_emplace(std::floor(set.day), handled);
    if (!first && counts_more(handled, entry->second)) entry->second = handled;
  }
  bin.days = static_cast<int>(days.size());
  std::vector<Handled> loads;
  for (const auto& [day, handled] : days) loads.push_back(handled);
  std::stable_sort(loads.begin(), loads.end(), counts_more);
  return loads;
}

void fill_bins(Envelope& envelope) {
  const auto [least, most] = std::minmax_element(
      envelope.evidence.begin(), envelope.evidence.end(),
      [](const HandledSet& a, const HandledSet& b) { return *a.range < *b.range; });
  const double width = envelope.parameters.range_bin;
  for (double from = width * std::floor(*least->range / width); from <= *most->range;
       from += width) {
    EnvelopeBin bin = handled_at(envelope, from);
    bin.to = from + width;
    envelope.bins.push_back(bin);
  }
}

}  // namespace

Envelope make_envelope(const std::vector<HandledSet>& sets, double today,
                       const EnvelopeParameters& parameters) {
  Envelope envelope;
  envelope.today = today;
  envelope.parameters = parameters;
  for (const HandledSet& set : sets) {
    if (is_evidence(set, envelope)) envelope.evidence.push_back(set);
  }
  if (!envelope.evidence.empty()) fill_bins(envelope);
  return envelope;
}

EnvelopeBin handled_at(const Envelope& envelope, double range) {
  EnvelopeBin bin;
  bin.from = bin.to = range;
  const std::vector<Handled> loads = by_day(envelope, range, bin);
  if (!loads.empty()) bin.heaviest = loads.front();
  const auto wanted = static_cast<std::size_t>(std::max(envelope.parameters.least_days, 1));
  if (loads.size() >= wanted) bin.accustomed = loads[wanted - 1];
  return bin;
}

std::optional<double> furthest_on_days(const Envelope& envelope, int days) {
  std::map<double, double> by_date;
  for (const HandledSet& set : envelope.evidence) {
    const auto [entry, first] = by_date.try_emplace(std::floor(set.day), *set.range);
    if (!first) entry->second = std::max(entry->second, *set.range);
  }
  const auto wanted = static_cast<std::size_t>(std::max(days, 1));
  if (by_date.size() < wanted) return std::nullopt;
  std::vector<double> reached;
  for (const auto& [date, range] : by_date) reached.push_back(range);
  std::sort(reached.begin(), reached.end(), std::greater<>());
  return reached[wanted - 1];
}

}  // namespace strapline::coaching
