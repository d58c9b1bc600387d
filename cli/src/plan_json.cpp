#include "plan_json.hpp"

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/wording_plan.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::cli {
namespace {

using nlohmann::ordered_json;

double degrees(double rad) { return rad * dsp::display_factor(dsp::Unit::radian); }

ordered_json handled_json(const std::optional<coaching::Handled>& handled) {
  if (!handled) return {};
  return {{"load_kg", handled->load_kg},
          {"counts_as_kg", handled->counts_as_kg},
          {"date", coaching::date_from_days(handled->day)},
          {"set", handled->set}};
}

ordered_json bin_json(const coaching::EnvelopeBin& bin) {
  return {{"from", degrees(bin.from)},
          {"to", degrees(bin.to)},
          {"heaviest", handled_json(bin.heaviest)},
          {"accustomed", handled_json(bin.accustomed)},
          {"days", bin.days},
          {"sets", bin.sets},
          {"reps", bin.reps}};
}

ordered_json steps_json(const coaching::PlacedSet& placed) {
  auto json = ordered_json::array();
  for (const coaching::PlanStep& step : placed.steps) {
    json.push_back({{"load_kg", step.set.load_kg},
                    {"range", degrees(step.set.range)},
                    {"new", step.brings == coaching::NewThing::range ? "range" : "load"},
                    {"coarse", step.coarse}});
  }
  return json;
}

ordered_json placed_json(const coaching::PlacedSet& placed) {
  ordered_json json = {{"load_kg", placed.planned.load_kg},
                       {"range", degrees(placed.planned.range)},
                       {"placing", coaching::placing_name(placed.placing)},
                       {"new_range", placed.new_range},
                       {"new_load", placed.new_load},
                       {"once", placed.once}};
  json["accustomed_range"] =
      placed.accustomed_range ? ordered_json(degrees(*placed.accustomed_range)) : ordered_json();
  json["accustomed_load_kg"] =
      placed.accustomed_load_kg ? ordered_json(*placed.accustomed_load_kg) : ordered_json();
  json["says"] = coaching::say_placed(placed);
  json["steps"] = steps_json(placed);
  json["steps_cut"] = placed.steps_cut;
  return json;
}

}  // namespace

ordered_json plan_json(const coaching::Envelope& envelope,
                       const std::optional<coaching::PlacedSet>& placed) {
  ordered_json json = {{"date", coaching::date_from_days(envelope.today)}};
  json["bins"] = ordered_json::array();
  for (const auto& bin : envelope.bins) json["bins"].push_back(bin_json(bin));
  json["gaps"] = coaching::say_gaps(envelope);
  json["planned"] = placed ? placed_json(*placed) : ordered_json();
  return json;
}

}  // namespace strapline::cli
