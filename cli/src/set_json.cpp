#include "set_json.hpp"

#include <algorithm>

#include "strapline/coaching/measure_catalogue.hpp"

namespace strapline::cli {
namespace {

using nlohmann::ordered_json;

ordered_json number(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json();
}

}  // namespace

ordered_json measure_json(const dsp::Measure& measure) {
  if (const auto* missing = std::get_if<dsp::NotMeasured>(&measure)) {
    return {{"not_measured", missing->reason}};
  }
  const dsp::DisplayValue shown = dsp::to_display(std::get<dsp::MeasuredValue>(measure));
  return {{"value", shown.value}, {"u", shown.u}, {"unit", shown.unit}};
}

ordered_json measures_json(const dsp::MeasureMap& measures) {
  std::vector<std::string> names;
  for (const auto& [name, measure] : measures) names.push_back(name);
  std::stable_sort(names.begin(), names.end(), coaching::shown_before);
  ordered_json json = ordered_json::object();
  for (const std::string& name : names) json[name] = measure_json(measures.at(name));
  return json;
}

ordered_json reps_json(const std::vector<dsp::Rep>& reps) {
  ordered_json list = ordered_json::array();
  for (const dsp::Rep& rep : reps) {
    ordered_json one;
    one["start_s"] = rep.start_s;
    one["turn_in_s"] = rep.turn_in_s;
    one["turn_out_s"] = rep.turn_out_s;
    one["end_s"] = rep.end_s;
    one["part"] = rep.part;
    one["side"] = ordered_json();
    if (rep.side != dsp::Side::middle) one["side"] = dsp::side_name(rep.side);
    one["measures"] = measures_json(rep.measures);
    list.push_back(std::move(one));
  }
  return list;
}

ordered_json clusters_json(const std::vector<dsp::RepCluster>& clusters) {
  ordered_json list = ordered_json::array();
  for (const dsp::RepCluster& cluster : clusters) {
    list.push_back(
        {{"first_rep", cluster.first + 1}, {"reps", cluster.count}, {"pause_s", cluster.pause_s}});
  }
  return list;
}

ordered_json set_json(const recordings::SetDescription& set) {
  ordered_json json;
  json["client"] = set.client;
  json["movement"] = set.movement;
  json["variation"] = set.variation;
  json["kit"] = set.kit;
  json["started_utc"] = set.started_utc;
  json["load_kg"] = number(set.load_kg);
  json["effort_rpe"] = number(set.effort_rpe);
  json["reps_in_reserve"] = number(set.reps_in_reserve);
  json["pain"] = number(set.pain);
  json["pain_place"] = set.pain_place;
  json["notes"] = set.notes;
  return json;
}

std::string json_text(const ordered_json& json) {
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace strapline::cli
