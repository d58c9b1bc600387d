#include "strapline/pages/review_page.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/rep_listing.hpp"
#include "strapline/coaching/set_listing.hpp"
#include "strapline/coaching/wording.hpp"

#include "judgement_data.hpp"
#include "page_template.hpp"
#include "review_table.hpp"

namespace strapline::pages {
namespace {

using nlohmann::json;

/// A plot wider than this many points shows nothing more, and the page grows heavy.
constexpr Eigen::Index kMostPoints = 6000;

json fact(std::string_view label, const std::string& value) {
  return {{"label", label}, {"value", value.empty() ? "not logged" : value}};
}

/// "2026-11-25T08:00:00Z" as "2026-11-25 08:00 UTC"; anything else as it is.
std::string readable_time(const std::string& utc) {
  if (utc.size() < 16 || utc[10] != 'T') return utc;
  return utc.substr(0, 10) + " " + utc.substr(11, 5) + " UTC";
}

json header(const ReviewPageInput& input) {
  const recordings::SetDescription& set = input.description;
  json facts = json::array();
  facts.push_back(fact("client", set.client));
  facts.push_back(fact("variation", set.variation));
  facts.push_back(fact("date", readable_time(set.started_utc)));
  facts.push_back(fact("load", set.load_kg ? coaching::format_load(set.load_kg) : ""));
  facts.push_back(fact("reps", coaching::count_reps(input.analysis.reps)));
  const bool effort = set.effort_rpe || set.reps_in_reserve;
  facts.push_back(
      fact("effort", effort ? coaching::format_effort(set.effort_rpe, set.reps_in_reserve) : ""));
  facts.push_back(fact("pain", set.pain ? coaching::format_pain(set.pain, set.pain_place) : ""));
  facts.push_back(fact("kit", set.kit));
  return facts;
}

Eigen::Index stride_for(Eigen::Index samples) {
  return std::max<Eigen::Index>(1, (samples + kMostPoints - 1) / kMostPoints);
}

json thinned(const Eigen::VectorXd& values, dsp::Unit unit, Eigen::Index stride) {
  json points = json::array();
  for (Eigen::Index i = 0; i < values.size(); i += stride)
    points.push_back(plotted(values[i], unit));
  return points;
}

/// "turn_left_thigh" as "turn left thigh": an angle that is no measure of its own.
std::string spaced(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

std::string base_of(const std::string& name) {
  const auto parsed = coaching::parse_measure_name(name);
  return parsed ? parsed->base : name;
}

std::string series_label(const std::string& name) {
  const auto parsed = coaching::parse_measure_name(name);
  if (!parsed || parsed->side == dsp::Side::middle) return "middle";
  return parsed->side == dsp::Side::left ? "left" : "right";
}

json series(const dsp::Trace& trace, Eigen::Index stride) {
  return {{"name", trace.name},
          {"label", series_label(trace.name)},
          {"values", thinned(trace.value, trace.unit, stride)}};
}

/// Shown at once; the others behind "more traces".
bool is_main(const std::string& base, const std::string& range_base) {
  return base == range_base || base == "knee_flexion" || base == "knee_line_distance" ||
         base == "elbow_flexion" || base == "elbow_flare";
}

/// The mean of the sides beside the sides themselves would only cover them.
bool covers_its_sides(const dsp::Trace& trace, const dsp::SetAnalysis& analysis) {
  const auto has = [&](const std::string& name) {
    return std::any_of(analysis.traces.begin(), analysis.traces.end(),
                       [&](const dsp::Trace& other) { return other.name == name; });
  };
  return has(trace.name + "_left") || has(trace.name + "_right");
}

/// Traces of one measure share a plot; the one that the reps were found on comes first.
json trace_plots(const dsp::SetAnalysis& analysis) {
  std::vector<const dsp::Trace*> order;
  for (const dsp::Trace& trace : analysis.traces) {
    const bool sound = trace.value.size() == analysis.t.size();
    if (sound && !covers_its_sides(trace, analysis)) order.push_back(&trace);
  }
  const std::string range_base = base_of(analysis.range_trace);
  std::stable_sort(order.begin(), order.end(), [&](const dsp::Trace* a, const dsp::Trace* b) {
    const bool a_first = base_of(a->name) == range_base;
    const bool b_first = base_of(b->name) == range_base;
    return a_first != b_first ? a_first : coaching::shown_before(a->name, b->name);
  });
  json plots = json::array();
  const Eigen::Index stride = stride_for(analysis.t.size());
  for (const dsp::Trace* trace : order) {
    const std::string base = base_of(trace->name);
    if (plots.empty() || plots.back()["base"] != base) {
      const auto info = coaching::find_measure(base);
      plots.push_back({{"base", base},
                       {"main", is_main(base, range_base)},
                       {"title", info ? std::string(info->title) : spaced(base)},
                       {"sign", info ? std::string(info->sign) : ""},
                       {"unit", coaching::unit_symbol(trace->unit)},
                       {"series", json::array()}});
    }
    plots.back()["series"].push_back(series(*trace, stride));
  }
  return plots;
}

std::string say_strap(const dsp::StrapReport& strap) {
  const auto degrees = [](double rad) { return coaching::format_value(rad, dsp::Unit::radian); };
  std::string text = strap.aligned ? "aligned to the limb" : "not aligned to the limb";
  if (strap.tilt) text += ", sits " + degrees(*strap.tilt) + " off the limb's long axis";
  if (strap.hinge_axis_u) text += ", hinge axis ± " + degrees(*strap.hinge_axis_u);
  if (strap.shift) {
    text += ", after the set tilted by " + degrees(strap.shift->tilt) + " ± " +
            degrees(strap.shift->u) + " against before";
  }
  return text;
}

json straps(const dsp::SetAnalysis& analysis) {
  json list = json::array();
  for (const dsp::StrapReport& strap : analysis.straps) {
    list.push_back(
        {{"label", spaced(dsp::to_string(strap.placement))}, {"value", say_strap(strap)}});
  }
  return list;
}

bool shows_thigh_depth(const dsp::SetAnalysis& analysis) {
  const auto is_depth = [](const std::string& name) { return base_of(name) == "thigh_depth"; };
  const auto in_rep = [&](const dsp::Rep& rep) {
    return std::any_of(rep.measures.begin(), rep.measures.end(),
                       [&](const auto& entry) { return is_depth(entry.first); });
  };
  return std::any_of(analysis.traces.begin(), analysis.traces.end(),
                     [&](const dsp::Trace& trace) { return is_depth(trace.name); }) ||
         std::any_of(analysis.reps.begin(), analysis.reps.end(), in_rep);
}

json page_data(const ReviewPageInput& input) {
  const dsp::SetAnalysis& analysis = input.analysis;
  return {{"heading", input.movement.title},
          {"facts", header(input)},
          {"pain", coaching::say_pain(input.description.pain, input.pain_limit)},
          {"client_notes", input.description.notes},
          {"t", thinned(analysis.t, dsp::Unit::second, stride_for(analysis.t.size()))},
          {"plots", trace_plots(analysis)},
          {"reps", rep_list(analysis)},
          {"rows", measure_rows(analysis)},
          {"set_rows", set_rows(analysis)},
          {"clusters", coaching::say_clusters(analysis.clusters)},
          {"not_measured", not_measured(analysis)},
          {"notes", analysis.notes},
          {"cautions", input.movement.cautions},
          {"aim", judgement_data(input)},
          {"seen", seen_data(input)},
          {"how_to_read", coaching::how_to_read_u()},
          {"depth_note", shows_thigh_depth(analysis) ? coaching::thigh_depth_note() : ""},
          {"straps", straps(analysis)},
          {"made_from", input.recording_name},
          {"made_by", analysis.algorithm}};
}

}  // namespace

std::string review_page(const ReviewPageInput& input) {
  return fill_template("review.html", "review.js",
                       input.movement.title + " – " + input.description.client, page_data(input));
}

}  // namespace strapline::pages
