#include "compare_table.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"

#include "set_cells.hpp"
#include "text_table.hpp"

namespace strapline::cli {
namespace {

using coaching::Comparison;
using coaching::MeasureFinding;
using Align = TextTable::Align;

std::string sets_table(const Comparison& comparison) {
  TextTable table;
  for (const char* head : {"date", "load", "reps", "effort", "pain", "set"}) {
    table.add_column(head, std::string_view(head) == "reps" ? Align::right : Align::left);
  }
  for (std::size_t i = 0; i < comparison.sets.size(); ++i) {
    const coaching::ComparedSet& set = comparison.sets[i];
    table.add_row({coaching::date_from_days(comparison.day[i]), load_cell(set.load_kg),
                   std::to_string(set.full_reps), effort_cell(set.effort_rpe, set.reps_in_reserve),
                   pain_cell(set.pain), set.name});
  }
  return table.text(kTextWidth);
}

/// Findings that compare the same sets share a table.
struct Group {
  std::string baseline, latest;
  std::vector<const MeasureFinding*> findings;
};

std::vector<Group> groups_of(const Comparison& comparison) {
  std::vector<Group> groups;
  for (const MeasureFinding& finding : comparison.findings) {
    if (!finding.change) continue;
    const std::string baseline = coaching::say_side(comparison, *finding.baseline);
    const std::string latest = coaching::say_side(comparison, *finding.latest);
    auto group = std::find_if(groups.begin(), groups.end(), [&](const Group& known) {
      return known.baseline == baseline && known.latest == latest;
    });
    if (group == groups.end()) group = groups.insert(group, {baseline, latest, {}});
    group->findings.push_back(&finding);
  }
  return groups;
}

std::string changes_table(const Group& group) {
  TextTable table;
  table.add_column("measure", Align::left);
  for (const char* head : {"baseline", "latest", "differs\nby", "noise\n95 %"}) {
    table.add_column(head, Align::right);
  }
  table.add_column("verdict", Align::left);
  table.add_column("more\nsets", Align::right);
  for (const MeasureFinding* finding : group.findings) {
    const auto value = [&](double si) { return coaching::format_value(si, finding->unit); };
    const auto& more = finding->change->further_sets;
    table.add_row({coaching::measure_title(finding->measure), value(finding->baseline->mean.value),
                   value(finding->latest->mean.value),
                   coaching::format_difference(finding->change->difference, finding->unit),
                   value(finding->change->mdc95), coaching::verdict_name(finding->change->verdict),
                   more ? std::to_string(*more) : ""});
  }
  return paragraph("Baseline: ", group.baseline, kTextWidth) +
         paragraph("Latest:   ", group.latest, kTextWidth) + "\n" + table.text(kTextWidth);
}

std::string changes(const Comparison& comparison) {
  const std::vector<Group> groups = groups_of(comparison);
  if (groups.empty()) return "\nNothing to compare yet: that takes two sets of the same kind.\n";
  std::string text;
  for (const Group& group : groups) text += "\n" + changes_table(group);
  text += "\n" + paragraph("", std::string(coaching::how_to_read_changes()), kTextWidth);
  return text + paragraph("", coaching::say_chance(comparison), kTextWidth);
}

std::string list_of(const std::string& title, const std::vector<std::string>& lines) {
  if (lines.empty()) return {};
  std::string text = "\n" + title + "\n";
  for (const std::string& line : lines) text += paragraph("  - ", line, kTextWidth);
  return text;
}

std::string trends(const Comparison& comparison) {
  constexpr double kDaysPerWeek = 7.0;
  TextTable table;
  table.add_column("measure", Align::left);
  for (const char* head : {"a week", "95 % from", "to"}) {
    table.add_column(head, Align::right);
  }
  table.add_column("direction", Align::left);
  table.add_column("load", Align::left);
  for (const MeasureFinding& finding : comparison.findings) {
    if (!finding.trend) continue;
    const coaching::Trend& trend = *finding.trend;
    const auto per_week = [&](double per_day) {
      return coaching::format_difference(per_day * kDaysPerWeek, finding.unit);
    };
    table.add_row({coaching::measure_title(finding.measure), per_week(trend.per_day.slope),
                   per_week(trend.per_day.low), per_week(trend.per_day.high),
                   coaching::say_direction(trend),
                   load_cell(trend.first_load_kg) + " → " + load_cell(trend.last_load_kg)});
  }
  return table.empty() ? "" : "\nOver the weeks:\n\n" + table.text(kTextWidth);
}

std::vector<std::string> not_compared(const Comparison& comparison) {
  std::vector<std::string> lines;
  for (const auto& set : comparison.left_out) {
    lines.push_back(coaching::say_left_out(comparison, set));
  }
  std::vector<std::pair<std::string, std::string>> by_reason;  // in the order shown
  for (const auto& missing : comparison.missing) {
    auto known = std::find_if(by_reason.begin(), by_reason.end(),
                              [&](const auto& entry) { return entry.first == missing.reason; });
    if (known == by_reason.end()) known = by_reason.insert(known, {missing.reason, ""});
    known->second += (known->second.empty() ? "" : "; ") + coaching::measure_title(missing.measure);
  }
  for (const auto& [reason, measures] : by_reason) {
    lines.push_back(measures + ": " + (reason.empty() ? "not in the latest set" : reason));
  }
  return lines;
}

std::vector<std::string> cautions(const Comparison& comparison,
                                  const coaching::Movement& movement) {
  std::vector<std::string> lines = movement.cautions;
  const std::string pain = coaching::say_pain(comparison.sets.back().pain);
  if (!pain.empty()) lines.insert(lines.begin(), pain);
  return lines;
}

}  // namespace

std::string compare_table(const Comparison& comparison, const coaching::Movement& movement) {
  const std::string text =
      fmt::format("{} – {}, {} sets, {} to {}\n\n", movement.title, comparison.sets.back().client,
                  comparison.sets.size(), coaching::date_from_days(comparison.day.front()),
                  coaching::date_from_days(comparison.day.back()));
  return text + sets_table(comparison) + changes(comparison) + trends(comparison) +
         list_of("Not compared:", not_compared(comparison)) +
         list_of("Cautions:", cautions(comparison, movement));
}

}  // namespace strapline::cli
