#include <algorithm>
#include <cstdlib>
#include <map>

#include <fmt/format.h>

#include "../text_table.hpp"
#include "rep_study.hpp"

namespace strapline::cli::reference {
namespace {

struct Total {
  int sets = 0, exact = 0, within_one = 0, set_aside = 0;

  void add(const RepStudyRow& row, bool believe_all = false) {
    if (!row.set_aside.empty() && !believe_all) {
      ++set_aside;
      return;
    }
    ++sets;
    if (!row.trouble.empty()) return;
    exact += row.error() == 0 ? 1 : 0;
    within_one += std::abs(row.error()) <= 1 ? 1 : 0;
  }
};

std::string verdict(const RepStudyRow& row) {
  if (!row.trouble.empty()) return row.trouble;
  const std::string hit = row.error() == 0             ? "exact"
                          : std::abs(row.error()) <= 1 ? "±1"
                                                       : fmt::format("{:+d}", row.error());
  if (!row.set_aside.empty()) {
    return fmt::format("{} (set aside: {}; measured: {})", hit, row.set_aside, row.evidence);
  }
  return row.error() == 0 || row.evidence.empty()
             ? hit
             : fmt::format("{} (measured: {})", hit, row.evidence);
}

std::string sets_table(const RepStudy& study) {
  TextTable table;
  table.add_column("set", TextTable::Align::left);
  table.add_column("movement", TextTable::Align::left);
  table.add_column("strap", TextTable::Align::left);
  table.add_column("labelled", TextTable::Align::right);
  table.add_column("counted", TextTable::Align::right);
  table.add_column("", TextTable::Align::left);
  for (const RepStudyRow& row : study.rows) {
    table.add_row({row.set, row.movement, row.placement, std::to_string(row.labelled),
                   std::to_string(row.counted), verdict(row)});
  }
  return table.text(10 * kTextWidth);
}

std::string percent(int part, int whole) {
  return whole == 0 ? "-" : fmt::format("{:.1f} %", 100.0 * part / whole);
}

bool any_set_aside(const RepStudy& study, const std::string& group) {
  return std::any_of(study.rows.begin(), study.rows.end(), [&](const RepStudyRow& row) {
    return row.group == group && !row.set_aside.empty();
  });
}

std::string totals_table(const RepStudy& study) {
  std::map<std::string, Total> totals;
  for (const RepStudyRow& row : study.rows) {
    totals[row.group].add(row);
    if (any_set_aside(study, row.group))
      totals[row.group + ", every label believed"].add(row, true);
    totals[fmt::format("{}: {}, {}", row.group, row.movement, row.placement)].add(row);
  }
  TextTable table;
  table.add_column("movement, strap", TextTable::Align::left);
  table.add_column("sets", TextTable::Align::right);
  table.add_column("exact", TextTable::Align::right);
  table.add_column("within ±1", TextTable::Align::right);
  table.add_column("set aside", TextTable::Align::right);
  for (const auto& [name, total] : totals) {
    table.add_row({name, std::to_string(total.sets), percent(total.exact, total.sets),
                   percent(total.within_one, total.sets), std::to_string(total.set_aside)});
  }
  return table.text(kTextWidth);
}

}  // namespace

std::string rep_study_table(const RepStudy& study) {
  std::string text = sets_table(study) + "\n" + totals_table(study);
  const std::string durations = duration_table(study.durations);
  if (!durations.empty()) text += "\n" + durations + "\n";
  for (const NonExerciseRow& row : study.non_exercise) {
    text += row.trouble.empty() ? fmt::format("{}: {} counted in {:.1f} min\n", row.recording,
                                              row.counted, row.minutes)
                                : fmt::format("{}: {}\n", row.recording, row.trouble);
  }
  return text;
}

}  // namespace strapline::cli::reference
