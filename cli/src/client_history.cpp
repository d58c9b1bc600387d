#include "client_history.hpp"

#include <algorithm>
#include <system_error>

#include "strapline/coaching/calendar.hpp"

namespace strapline::cli {
namespace {

std::optional<double> value_of(const dsp::Rep& rep, const std::string& name) {
  const auto found = rep.measures.find(name);
  if (found == rep.measures.end()) return std::nullopt;
  const auto* measured = std::get_if<dsp::MeasuredValue>(&found->second);
  return measured == nullptr ? std::nullopt : std::optional(measured->value);
}

std::optional<double> reached(const dsp::Rep& rep, const std::string& measure) {
  if (const auto unsided = value_of(rep, measure)) return unsided;
  const auto left = value_of(rep, measure + "_left");
  const auto right = value_of(rep, measure + "_right");
  if (rep.side == dsp::Side::left) return left;
  if (rep.side == dsp::Side::right) return right;
  if (left && right) return std::min(*left, *right);
  return left ? left : right;
}

}  // namespace

dsp::Result<std::vector<DatedSet>> read_history(const std::filesystem::path& logbook, double today,
                                                double days) {
  std::vector<DatedSet> history;
  std::error_code error;
  if (!std::filesystem::exists(logbook, error)) return history;
  auto read = recordings::read_logbook(logbook);
  if (!read) return tl::make_unexpected(read.error());
  for (recordings::LoggedSet& set : read->sets) {
    const auto day = coaching::days_from_utc(set.description.started_utc);
    if (!day || *day > today || today - *day > days) continue;
    history.push_back({*day, std::move(set)});
  }
  return history;
}

std::vector<double> range_of(const std::vector<dsp::Rep>& reps, const std::string& measure) {
  std::vector<double> range;
  for (const dsp::Rep& rep : reps) {
    if (rep.part) continue;
    if (const auto value = reached(rep, measure)) range.push_back(*value);
  }
  return range;
}

coaching::HandledSet to_handled(const DatedSet& dated, const std::string& measure) {
  const auto& description = dated.set.description;
  return {dated.set.file, dated.day, description.load_kg, description.pain,
          range_of(dated.set.reps, measure)};
}

std::vector<coaching::LoggedPain> logged_pain(const std::vector<DatedSet>& history) {
  std::vector<coaching::LoggedPain> pain;
  for (const DatedSet& dated : history) {
    const auto& description = dated.set.description;
    if (!description.pain || !(*description.pain > 0.0)) continue;
    pain.push_back({dated.set.file, description.movement, dated.day, *description.pain,
                    description.pain_place});
  }
  return pain;
}

}  // namespace strapline::cli
