#include "change_study_table.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "strapline/coaching/chance.hpp"

#include "text_table.hpp"

namespace strapline::cli {
namespace {

using coaching::Interval;
using Align = TextTable::Align;

constexpr double kReal = 1.5;  ///< times MDC95

double share(int count, int of) { return of == 0 ? 0.0 : static_cast<double>(count) / of; }

double changed(const ChangeStudyRow& row) { return share(row.changed, row.logbooks); }

std::string percent(double share) { return fmt::format("{:.1f}", 100.0 * share); }

std::string range(const Interval& interval) {
  return percent(interval.low) + "–" + percent(interval.high);
}

Interval interval_of(const ChangeStudyRow& row) {
  return row.logbooks == 0 ? Interval{0.0, 1.0}
                           : coaching::share_interval(row.changed, row.logbooks);
}

bool is_own(const ChangeStudyRow& row) { return row.source == coaching::ErrorSource::own_repeats; }

std::string basis(const ChangeStudyRow& row) {
  return is_own(row) ? fmt::format("own repeats, {:.0f} df", row.degrees_of_freedom) : "stated u";
}

std::string rows_table(const ChangeStudy& study) {
  TextTable table;
  table.add_column("days\na side", Align::right);
  table.add_column("error from", Align::left);
  for (const char* head : {"true change,\n× MDC95", "changed\n%", "95 %\ninterval", "theory\n%",
                           "unchanged\n%", "cannot tell\n%"}) {
    table.add_column(head, Align::right);
  }
  for (const ChangeStudyRow& row : study.rows) {
    table.add_row({std::to_string(row.days), basis(row), fmt::format("{:.1f}", row.times_mdc95),
                   percent(changed(row)), range(interval_of(row)), percent(row.theory),
                   percent(share(row.unchanged, row.logbooks)),
                   percent(share(row.cannot_tell, row.logbooks))});
  }
  return table.text(kTextWidth);
}

/// The rows with this change and from so many days a side on, or with a single day.
std::vector<ChangeStudyRow> rows_with(const ChangeStudy& study, double times, bool ordinary) {
  std::vector<ChangeStudyRow> rows;
  for (const ChangeStudyRow& row : study.rows) {
    if (row.times_mdc95 == times && (row.days >= kOrdinaryDays) == ordinary) rows.push_back(row);
  }
  return rows;
}

bool less_changed(const ChangeStudyRow& a, const ChangeStudyRow& b) {
  return changed(a) < changed(b);
}

std::string of_row(const ChangeStudyRow& row) {
  return fmt::format("{} % ({}; {} a side, {})", percent(changed(row)), range(interval_of(row)),
                     row.days == 1 ? "1 day" : fmt::format("{} days", row.days), basis(row));
}

/// Lowest and highest row of a list that is not empty.
struct Ends {
  ChangeStudyRow low, high;
};
Ends ends_of(const std::vector<ChangeStudyRow>& rows) {
  const auto [low, high] = std::minmax_element(rows.begin(), rows.end(), less_changed);
  return {*low, *high};
}

ChangeStudyRow all_without_change(const ChangeStudy& study) {
  ChangeStudyRow all;
  for (const ChangeStudyRow& row : study.rows) {
    if (row.times_mdc95 != 0.0) continue;
    all.logbooks += row.logbooks;
    all.changed += row.changed;
  }
  return all;
}

Interval unchanged_though_it_matters(const ChangeStudy& study, int& count, int& of) {
  for (const ChangeStudyRow& row : study.rows) {
    count += row.matters_unchanged;
    of += row.matters;
  }
  return of == 0 ? Interval{0.0, 1.0} : coaching::share_interval(count, of);
}

std::string findings(const ChangeStudy& study) {
  const Ends real = ends_of(rows_with(study, kReal, true));
  const Ends one_day = ends_of(rows_with(study, kReal, false));
  std::vector<ChangeStudyRow> none = rows_with(study, 0.0, true);
  for (const ChangeStudyRow& row : rows_with(study, 0.0, false)) none.push_back(row);
  const ChangeStudyRow all = all_without_change(study);
  int missed = 0, of = 0;
  const Interval matters = unchanged_though_it_matters(study, missed, of);
  const auto line = [](const std::string& text) { return paragraph("  - ", text, kTextWidth); };
  return line(
             fmt::format("A change of 1.5 × MDC95, {} days a side or more, is called changed in at "
                         "least {}. Wanted: 90 % or more.",
                         kOrdinaryDays, of_row(real.low))) +
         line(fmt::format("With one day a side that is {} to {}: even with the error known exactly "
                          "no more than 84 % can be had from one set against one.",
                          of_row(one_day.low), of_row(one_day.high))) +
         line(fmt::format(
             "No change is called changed in {} % of all ({}), at most in {}. Wanted: 5 "
             "% or less; own repeats make it 5 % exactly, by design.",
             percent(changed(all)), range(interval_of(all)), of_row(ends_of(none).high))) +
         line(
             fmt::format("A change that matters to the coach is called unchanged in {:.2f} % ({}). "
                         "At most 2.5 % by design.",
                         100.0 * share(missed, of), range(matters)));
}

constexpr const char* kHowToRead =
    "MDC95: 1.96·√2·SEM (Weir 2005) with the true SEM of one set. What putting the straps on anew "
    "adds is drawn per client, 0.6 to 1.4 times the default that the comparison knows; the change "
    "comes evenly over the weeks, so that own repeats hold a little of it. Theory: noncentral t "
    "for "
    "own repeats and a sudden change, the normal distribution for stated u. Half of the coaches "
    "named a smallest difference that matters, 0.5 to 2 × MDC95; without one nothing is called "
    "unchanged. Intervals: Clopper–Pearson.";

}  // namespace

std::string change_study_table(const ChangeStudy& study) {
  std::string text = fmt::format(
      "Synthetic logbooks with known truth, compared as `compare` does: {} a row, seed {}\n\n",
      study.options.logbooks, study.options.seed);
  text += rows_table(study) + "\n" + findings(study) + "\n" + paragraph("", kHowToRead, kTextWidth);
  for (const std::string& failure : study.failures) text += "failed: " + failure + "\n";
  return text;
}

nlohmann::ordered_json change_study_json(const ChangeStudy& study) {
  nlohmann::ordered_json json;
  json["logbooks_per_row"] = study.options.logbooks;
  json["seed"] = study.options.seed;
  json["rows"] = nlohmann::ordered_json::array();
  for (const ChangeStudyRow& row : study.rows) {
    const Interval interval = interval_of(row);
    nlohmann::ordered_json one = {
        {"days_a_side", row.days},
        {"error_source", is_own(row) ? "own_repeats" : "stated_uncertainty"},
        {"degrees_of_freedom", row.degrees_of_freedom},
        {"true_change_mdc95", row.times_mdc95},
        {"logbooks", row.logbooks},
        {"changed", changed(row)},
        {"interval95", {interval.low, interval.high}},
        {"theory", row.theory},
        {"unchanged", share(row.unchanged, row.logbooks)},
        {"cannot_tell", share(row.cannot_tell, row.logbooks)},
        {"matters", row.matters},
        {"matters_unchanged", row.matters_unchanged}};
    json["rows"].push_back(std::move(one));
  }
  json["failures"] = study.failures;
  return json;
}

}  // namespace strapline::cli
