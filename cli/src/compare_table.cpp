#include "compare_table.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"

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
    table.add_row({coaching::date_from_days(comparison.day[i]), coaching::format_load(set.load_kg),
                   std::to_string(set.full_reps.size()),
                   coaching::format_effort(set.effort_rpe, set.reps_in_reserve),
                   coaching::format_pain(set.pain, ""), set.name});
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
  for (const char* head : {"first", "latest", "difference", "again\nup to"}) {
    table.add_column(head, Align::right);
  }
  table.add_column("verdict", Align::left);
  for (const MeasureFinding* finding : group.findings) {
    const auto value = [&](double si) { return coaching::format_value(si, finding->unit); };
    table.add_row({coaching::measure_title(finding->measure), value(finding->baseline->mean.value),
                   value(finding->latest->mean.value),
                   coaching::format_difference(finding->change->difference, finding->unit),
                   value(finding->change->mdc95), coaching::say_verdict(*finding->change)});
  }
  return paragraph("First:  ", group.baseline, kTextWidth) +
         paragraph("Latest: ", group.latest, kTextWidth) + "\n" + table.text(kTextWidth);
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

std::vector<std::string> trends(const Comparison& comparison) {
  std::vector<std::string> lines;
  for (const MeasureFinding& finding : comparison.findings) {
    const std::string trend = coaching::say_trend(finding);
    if (!trend.empty()) lines.push_back(coaching::measure_title(finding.measure) + ": " + trend);
  }
  return lines;
}

std::vector<std::string> not_compared(const Comparison& comparison) {
  std::vector<std::string> lines;
  for (const auto& set : comparison.left_out) {
    lines.push_back(coaching::say_left_out(comparison, set));
  }
  for (const auto& missing : comparison.missing) lines.push_back(coaching::say_missing(missing));
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
  return text + sets_table(comparison) + changes(comparison) +
         list_of("Over the weeks:", trends(comparison)) +
         list_of("Not compared:", not_compared(comparison)) +
         list_of("Cautions:", cautions(comparison, movement));
}

}  // namespace strapline::cli
