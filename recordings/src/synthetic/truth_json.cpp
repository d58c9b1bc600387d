#include "truth_json.hpp"

#include <cmath>

#include <Eigen/Geometry>
#include <nlohmann/json.hpp>

#include "strapline/dsp/measure.hpp"

namespace strapline::recordings::synthetic {
namespace {

using nlohmann::json;

double degrees(double rad) { return rad / deg(1.0); }

json seconds(double s) { return {{"value", s}, {"unit", "s"}}; }

std::string why_undefined(const std::string& name) {
  return name.starts_with("elbow_flare") ? "the upper arm points straight out of the chest"
                                         : "the thigh is within 45° of horizontal";
}

json true_value(const std::string& name, const TrueValue& truth) {
  if (std::isnan(truth.value)) return {{"not_measured", why_undefined(name)}};
  return {{"value", truth.value * dsp::display_factor(truth.unit)},
          {"unit", dsp::display_unit(truth.unit)}};
}

/// measures.md's four tempo figures; which phase is which depends on the movement.
void add_tempo(json& measures, const RepTruth& rep, bool lowers_first) {
  measures[lowers_first ? "lowering_s" : "lifting_s"] = seconds(rep.turn_in_s - rep.start_s);
  measures[lowers_first ? "bottom_hold_s" : "top_hold_s"] = seconds(rep.turn_out_s - rep.turn_in_s);
  measures[lowers_first ? "lifting_s" : "lowering_s"] = seconds(rep.end_s - rep.turn_out_s);
  measures[lowers_first ? "top_hold_s" : "bottom_hold_s"] =
      rep.start_hold_s ? seconds(*rep.start_hold_s) : json{{"not_measured", "no rep follows"}};
  measures["time_under_tension_s"] = seconds(rep.end_s - rep.start_s);
}

json rep_json(const RepTruth& rep, bool lowers_first) {
  json measures;
  for (const auto& [name, truth] : rep.measures) measures[name] = true_value(name, truth);
  measures["range"] = true_value("range", {rep.range, dsp::Unit::radian});
  add_tempo(measures, rep, lowers_first);
  json velocity = json::object();
  for (const auto& [placement, v] : rep.velocity) {
    velocity[dsp::to_string(placement)] = {{"mean_m_s", v.mean}, {"peak_m_s", v.peak}};
  }
  return {{"concentric_velocity", std::move(velocity)},
          {"start_s", rep.start_s},
          {"turn_in_s", rep.turn_in_s},
          {"turn_s", rep.turn_s},
          {"turn_out_s", rep.turn_out_s},
          {"end_s", rep.end_s},
          {"part", rep.part},
          {"side", rep.side == dsp::Side::middle ? json() : json(dsp::side_name(rep.side))},
          {"measures", std::move(measures)}};
}

json vector_json(const Eigen::Vector3d& v) { return json::array({v.x(), v.y(), v.z()}); }

json matrix_json(const Eigen::Matrix3d& m) {
  json rows = json::array();
  for (int i = 0; i < 3; ++i) rows.push_back(vector_json(m.row(i).transpose()));
  return rows;
}

json quaternion_json(const Eigen::Matrix3d& rotation) {
  const Eigen::Quaterniond q(rotation);
  return json::array({q.w(), q.x(), q.y(), q.z()});
}

json strap_json(const StrapTruth& strap) {
  return {{"placement", dsp::to_string(strap.placement)},
          {"q_segment_from_sensor", quaternion_json(strap.segment_from_sensor)},
          {"lever_m", vector_json(strap.lever)},
          {"tilt_deg", degrees(strap.tilt)},
          {"twist_deg", degrees(strap.twist)},
          {"acc_bias_m_s2", vector_json(strap.acc_bias)},
          {"gyr_bias_deg_s", vector_json(strap.gyr_bias / deg(1.0))},
          {"acc_gain", matrix_json(strap.acc_gain)},
          {"gyr_gain", matrix_json(strap.gyr_gain)},
          {"rate_hz", strap.rate_hz},
          {"skew_ppm", strap.skew_ppm},
          {"clock_error_s", strap.clock_error_s}};
}

/// Orientation in the world (Y up) at each sample's true time.
void add_orientations(json& out, const BodyMotion& motion, const SyntheticStrap& strap) {
  json times = json::array();
  json quaternions = json::array();
  for (Eigen::Index i = 0; i < strap.record.t.size(); ++i) {
    const double t = strap.record.t[i] - strap.truth.clock_error_s;
    times.push_back(t);
    quaternions.push_back(quaternion_json(strap_state(motion, strap.mount, t).world_from_sensor));
  }
  out["t_s"] = std::move(times);
  out["q_world_from_sensor"] = std::move(quaternions);
}

json traces_json(const BodyMotion& motion, double rate_hz) {
  json traces = json::object();
  const auto n = static_cast<int>(motion.end_s() * rate_hz);
  for (int i = 0; i < n; ++i) {
    const double t = i / rate_hz;
    traces["t_s"].push_back(t);
    for (const BoneValue& bone : motion.bones(t)) {
      traces[std::string(bone.base) + dsp::side_suffix(bone.side)].push_back(
          bone.value * dsp::display_factor(bone.unit));
    }
    traces["range_angle"].push_back(degrees(motion.range_angle(t)));
  }
  return traces;
}

json part_json(const std::optional<dsp::Interval>& part) {
  return part ? json::array({part->from_s, part->to_s}) : json();
}

json set_json(const BodyMotion& motion) {
  const BodyLengths& body = motion.body();
  const dsp::RecordingParts& parts = motion.parts();
  json set = {{"seed", motion.seed()},
              {"body_m",
               {{"height", body.height},
                {"thigh", body.thigh},
                {"shank", body.shank},
                {"foot", body.foot},
                {"hip_spacing", body.hip_spacing},
                {"ankle_height", body.ankle_height},
                {"ankle_from_heel", body.ankle_from_heel},
                {"upper_arm", body.upper_arm},
                {"forearm", body.forearm}}},
              {"parts_s",
               {{"still", part_json(parts.still)},
                {"align", part_json(parts.align)},
                {"set", part_json(parts.set)},
                {"still_after", part_json(parts.still_after)}}}};
  for (const auto& [pointer, values] : motion.set_up()) {
    json& place = set[json::json_pointer(pointer)];
    if (values.size() == 1) {
      place = values.front();
    } else {
      place = values;
    }
  }
  return set;
}

}  // namespace

std::string truth_json(const BodyMotion& motion, const std::vector<RepTruth>& reps,
                       const std::vector<SyntheticStrap>& straps, const TruthDetail& detail) {
  json out = set_json(motion);
  out["world"] = "X forwards, Y up, Z to the right; quaternions (w, x, y, z)";
  out["range_angle"] = motion.range_name();
  out["reps"] = json::array();
  for (const RepTruth& rep : reps) out["reps"].push_back(rep_json(rep, motion.lowers_first()));
  out["straps"] = json::array();
  for (const SyntheticStrap& strap : straps) {
    json one = strap_json(strap.truth);
    if (detail.orientations) add_orientations(one, motion, strap);
    out["straps"].push_back(std::move(one));
  }
  if (detail.traces_hz > 0.0) out["traces"] = traces_json(motion, detail.traces_hz);
  return out.dump();
}

}  // namespace strapline::recordings::synthetic
