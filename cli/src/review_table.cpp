#include "review_table.hpp"

#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/rep_listing.hpp"
#include "strapline/coaching/set_listing.hpp"
#include "strapline/coaching/wording.hpp"
#include "strapline/recordings/logbook.hpp"

#include "judgement_table.hpp"
#include "text_table.hpp"

namespace strapline::cli {
namespace {

constexpr std::size_t kHeadWidth = 11;

/// Measures that only the page and the JSON show; a table of everything is too wide to read.
bool is_key_measure(const std::string& name) {
  constexpr std::array<std::string_view, 4> kMinor{"hip_flexion", "trunk_side_lean",
                                                   "knee_line_angle", "time_under_tension_s"};
  const auto parsed = coaching::parse_measure_name(name);
  if (!parsed || !parsed->statistic.empty()) return false;
  return std::find(kMinor.begin(), kMinor.end(), parsed->base) == kMinor.end();
}

/// The unit that the reps measured it in; empty where none did.
std::optional<dsp::Unit> unit_of(const std::vector<dsp::Rep>& reps, const std::string& name) {
  for (const dsp::Rep& rep : reps) {
    if (const auto* value = coaching::measured(rep, name)) return value->unit;
  }
  return std::nullopt;
}

/// The title, and the unit in a line of its own, so that the cells need not repeat it.
std::string head_of(const std::string& name, dsp::Unit unit) {
  std::string symbol = coaching::unit_symbol(unit);
  symbol.erase(0, symbol.find_first_not_of(' '));
  return fmt::format("{}\n{}", fmt::join(wrapped(coaching::measure_title(name), kHeadWidth), "\n"),
                     symbol);
}

std::string without_unit(std::string text, dsp::Unit unit) {
  text.resize(text.size() - coaching::unit_symbol(unit).size());
  return text;
}

std::string cell_of(const dsp::Rep& rep, const std::string& name) {
  const auto* value = coaching::measured(rep, name);
  return value == nullptr ? "–" : without_unit(coaching::format_measured(*value), value->unit);
}

/// Mean and spread of the full reps, one row each.
void add_summary(const std::vector<dsp::Rep>& reps, const std::vector<std::string>& names,
                 TextTable& table) {
  const auto summaries = recordings::summarise(reps);
  std::vector<std::string> mean{"mean", ""};
  std::vector<std::string> spread{"SD", ""};
  for (const std::string& name : names) {
    const auto found = summaries.find(name);
    const bool known = found != summaries.end() && found->second.n > 1;
    const auto cell = [&](double value) {
      return without_unit(coaching::format_value(value, found->second.unit), found->second.unit);
    };
    mean.push_back(known ? cell(found->second.mean) : "–");
    spread.push_back(known ? cell(*found->second.sd) : "–");
  }
  table.add_row(std::move(mean));
  table.add_row(std::move(spread));
}

std::string reps_table(const std::vector<dsp::Rep>& reps) {
  std::vector<std::string> names = coaching::measure_names(reps);
  std::erase_if(names, [&](const std::string& name) {
    return !is_key_measure(name) || !unit_of(reps, name);
  });
  TextTable table;
  table.add_column("rep", TextTable::Align::left);
  table.add_column("from\ns", TextTable::Align::right);
  for (const std::string& name : names) {
    table.add_column(head_of(name, *unit_of(reps, name)), TextTable::Align::right);
  }
  const std::vector<std::string> labels = coaching::rep_labels(reps);
  for (std::size_t i = 0; i < reps.size(); ++i) {
    std::vector<std::string> row{labels[i], fmt::format("{:.1f}", reps[i].start_s)};
    for (const std::string& name : names) row.push_back(cell_of(reps[i], name));
    table.add_row(std::move(row));
  }
  const auto full = std::count_if(reps.begin(), reps.end(), [](const auto& r) { return !r.part; });
  if (full > 1) add_summary(reps, names, table);
  return table.text(kTextWidth);
}

/// Clusters, the loss of velocity, and how alike the curves were; what the table's last row says of
/// single numbers is not said again.
std::string set_lines(const dsp::SetAnalysis& analysis) {
  std::string text;
  if (const auto clusters = coaching::say_clusters(analysis.clusters); !clusters.empty()) {
    text += "\n" + paragraph("", clusters, kTextWidth);
  }
  std::string curves;
  for (const coaching::SetFigure& figure : coaching::set_figures(analysis.measures)) {
    if (figure.name == "velocity_loss") {
      text += fmt::format("\n{} {} {}, last rep against the fastest\n", figure.title, figure.value,
                          figure.u);
    }
    const auto parsed = coaching::parse_measure_name(figure.name);
    if (!parsed || parsed->statistic != "curve_sd") continue;
    const std::string plain = parsed->base + dsp::side_suffix(parsed->side);
    if (!is_key_measure(plain)) continue;
    curves += (curves.empty() ? "" : "; ") + coaching::measure_title(plain) + " " + figure.value;
  }
  if (!curves.empty()) {
    text += "\n" + paragraph("Spread of the curves from rep to rep: ", curves, kTextWidth);
  }
  return text;
}

std::string heading(const ReviewedSet& set) {
  const recordings::SetDescription& d = set.recording.description;
  const std::string effort = coaching::format_effort(d.effort_rpe, d.reps_in_reserve);
  std::string what = set.movement.title;
  if (!d.variation.empty()) what += ", " + d.variation;
  std::string text = fmt::format("{} – {}, {}\n", what, d.client, short_time(d.started_utc));
  text += fmt::format("{} reps, {}, {}, {}\n", coaching::count_reps(set.analysis.reps),
                      coaching::format_load(d.load_kg), effort,
                      coaching::format_pain(d.pain, d.pain_place));
  if (!d.notes.empty()) text += paragraph("Notes: ", d.notes, kTextWidth);
  return text;
}

std::string list_of(const std::string& title, const std::vector<std::string>& lines) {
  if (lines.empty()) return {};
  std::string text = "\n" + title + "\n";
  for (const std::string& line : lines) text += paragraph("  - ", line, kTextWidth);
  return text;
}

}  // namespace

std::string short_time(const std::string& utc) {
  if (utc.empty()) return "date not logged";
  if (utc.size() < 16 || utc[10] != 'T') return utc;
  return utc.substr(0, 10) + " " + utc.substr(11, 5);
}

std::string review_table(const ReviewedSet& set, const JudgedReview& judged) {
  const auto& reps = set.analysis.reps;
  std::string text = heading(set) + "\n";
  text += reps.empty() ? "No reps were found.\n" : reps_table(reps);
  if (!reps.empty())
    text += "\n" + paragraph("", std::string(coaching::how_to_read_u()), kTextWidth);
  text += set_lines(set.analysis);
  text += judgement_table(set, judged);
  text += cautions_seen(set, judged);
  std::vector<std::string> missing;
  for (const auto& group : coaching::not_measured(reps)) {
    missing.push_back(group.measures + ": " + group.reason);
  }
  text += list_of("Not measured:", missing);
  text += list_of("Notes:", set.analysis.notes);
  std::vector<std::string> cautions = set.movement.cautions;
  const auto& pain = set.recording.description.pain;
  if (pain && *pain <= judged.limits.pain) {  // above it, it was seen and said
    if (auto words = coaching::say_pain(pain, judged.limits.pain); !words.empty()) {
      cautions.insert(cautions.begin(), std::move(words));
    }
  }
  return text + list_of("Cautions:", cautions);
}

}  // namespace strapline::cli
