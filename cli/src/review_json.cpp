#include "review_json.hpp"

#include "strapline/recordings/recording_file.hpp"

#include "judgement_json.hpp"
#include "set_json.hpp"

namespace strapline::cli {
namespace {

using nlohmann::ordered_json;

ordered_json degrees(const std::optional<double>& rad) {
  if (!rad) return {};
  return *rad * dsp::display_factor(dsp::Unit::radian);
}

ordered_json straps_json(const ReviewedSet& set) {
  ordered_json list = ordered_json::array();
  for (std::size_t i = 0; i < set.analysis.straps.size(); ++i) {
    const dsp::StrapReport& strap = set.analysis.straps[i];
    const Eigen::Vector3d bias = strap.gyr_bias * dsp::display_factor(dsp::Unit::radian);
    ordered_json one;
    one["placement"] = dsp::to_string(strap.placement);
    one["aligned"] = strap.aligned;
    one["tilt_deg"] = degrees(strap.tilt);
    one["hinge_axis_u_deg"] = degrees(strap.hinge_axis_u);
    one["shift"] = ordered_json();
    if (strap.shift) {
      one["shift"] = {{"tilt_deg", degrees(strap.shift->tilt)}, {"u_deg", degrees(strap.shift->u)}};
    }
    one["gyr_bias_deg_s"] = {bias.x(), bias.y(), bias.z()};
    one["calibrated_utc"] = ordered_json();
    const auto& calibration = set.recording.straps.at(i).calibration;  // in the same order
    if (calibration) one["calibrated_utc"] = calibration->made_utc;
    list.push_back(std::move(one));
  }
  return list;
}

}  // namespace

std::string review_json(const ReviewedSet& set, const JudgedReview& judged) {
  ordered_json json;
  json["movement"] = set.movement.name;
  json["placements"] = ordered_json::array();
  for (const auto& strap : set.recording.straps) {
    json["placements"].push_back(dsp::to_string(strap.placement));
  }
  json["reps"] = reps_json(set.analysis.reps);
  json["clusters"] = clusters_json(set.analysis.clusters);
  json["set_measures"] = measures_json(set.analysis.measures);
  json["algorithm"] = set.analysis.algorithm;
  json["notes"] = set.analysis.notes;
  json["cautions"] = set.movement.cautions;
  json["aim"] = aim_json(judged);
  json["no_aim"] = judged.aim ? ordered_json() : ordered_json(judged.no_aim);
  json["variation"] = variation_json(judged);
  json["cautions_seen"] = cautions_json(set, judged);
  json["straps"] = straps_json(set);
  json["set"] = set_json(set.recording.description);
  json["set_id"] = recordings::set_id(set.recording);
  json["source"] = set.recording.source;
  json["file"] = set.file.filename().string();
  return json_text(json);
}

}  // namespace strapline::cli
