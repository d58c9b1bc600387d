#include "truth_json.hpp"

#include <cmath>

#include <Eigen/Geometry>
#include <nlohmann/json.hpp>

#include "set_plan.hpp"

namespace strapline::recordings::synthetic {
namespace {

using nlohmann::json;

double degrees(double rad) { return rad / deg(1.0); }

json angle(double rad) {
  if (std::isnan(rad)) return {{"not_measured", "the thigh is within 30° of horizontal"}};
  return {{"value", degrees(rad)}, {"unit", "deg"}};
}
json distance(double m) { return {{"value", m * 100.0}, {"unit", "cm"}}; }
json seconds(double s) { return {{"value", s}, {"unit", "s"}}; }

void add_side(json& measures, const RepSide& side, const std::string& suffix) {
  measures["thigh_depth" + suffix] = angle(side.thigh_depth);
  measures["knee_flexion" + suffix] = angle(side.knee_flexion);
  measures["hip_flexion" + suffix] = angle(side.hip_flexion);
  measures["knee_line_distance" + suffix] = distance(side.knee_line_distance);
  measures["knee_line_distance_at_turn" + suffix] = distance(side.knee_line_distance_at_turn);
  measures["knee_line_angle" + suffix] = angle(side.knee_line_angle);
  measures["knee_line_angle_at_turn" + suffix] = angle(side.knee_line_angle_at_turn);
  measures["knee_travel" + suffix] = distance(side.knee_travel);
}

json rep_json(const RepTruth& rep) {
  json measures;
  add_side(measures, rep.left, "_left");
  add_side(measures, rep.right, "_right");
  measures["trunk_lean"] = angle(rep.trunk_lean);
  measures["trunk_lean_max"] = angle(rep.trunk_lean_max);
  measures["trunk_side_lean"] = angle(rep.trunk_side_lean);
  measures["range"] = angle(rep.range);
  measures["lowering_s"] = seconds(rep.turn_in_s - rep.start_s);
  measures["bottom_hold_s"] = seconds(rep.turn_out_s - rep.turn_in_s);
  measures["lifting_s"] = seconds(rep.end_s - rep.turn_out_s);
  measures["time_under_tension_s"] = seconds(rep.end_s - rep.start_s);
  measures["top_hold_s"] =
      rep.top_hold_s ? seconds(*rep.top_hold_s) : json{{"not_measured", "no rep follows"}};
  return {{"start_s", rep.start_s},         {"turn_in_s", rep.turn_in_s}, {"turn_s", rep.turn_s},
          {"turn_out_s", rep.turn_out_s},   {"end_s", rep.end_s},         {"part", rep.part},
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
void add_orientations(json& out, const SetPlan& plan, const SyntheticStrap& strap) {
  json times = json::array();
  json quaternions = json::array();
  for (Eigen::Index i = 0; i < strap.record.t.size(); ++i) {
    const double t = strap.record.t[i] - strap.truth.clock_error_s;
    times.push_back(t);
    quaternions.push_back(quaternion_json(strap_state(plan, strap.mount, t).world_from_sensor));
  }
  out["t_s"] = std::move(times);
  out["q_world_from_sensor"] = std::move(quaternions);
}

json traces_json(const SquatMotion& motion, double rate_hz) {
  json traces = json::object();
  const auto put = [&](const std::string& name, double value) { traces[name].push_back(value); };
  const auto put_sides = [&](const std::string& name, const Sides& sides, double unit) {
    put(name + "_left", sides.left / unit);
    put(name + "_right", sides.right / unit);
  };
  const auto n = static_cast<int>(motion.end_s() * rate_hz);
  for (int i = 0; i < n; ++i) {
    const double t = i / rate_hz;
    const BoneMeasures m = motion.measures(t);
    put("t_s", t);
    put_sides("thigh_depth", m.thigh_depth, deg(1.0));
    put_sides("knee_flexion", m.knee_flexion, deg(1.0));
    put_sides("hip_flexion", m.hip_flexion, deg(1.0));
    put_sides("knee_line_distance", m.knee_line_distance, cm(1.0));
    put_sides("knee_line_angle", m.knee_line_angle, deg(1.0));
    put_sides("knee_travel", m.knee_travel, cm(1.0));
    put("trunk_lean", m.trunk_lean / deg(1.0));
    put("trunk_side_lean", m.trunk_side_lean / deg(1.0));
    put("range_angle", m.range_angle / deg(1.0));
  }
  return traces;
}

json part_json(const std::optional<dsp::Interval>& part) {
  return part ? json::array({part->from_s, part->to_s}) : json();
}

json plan_json(const SetPlan& plan) {
  const BodyLengths& body = plan.body;
  const SquatSetParams& p = plan.params;
  return {{"seed", p.seed},
          {"body_m",
           {{"height", body.height},
            {"thigh", body.thigh},
            {"shank", body.shank},
            {"foot", body.foot},
            {"hip_spacing", body.hip_spacing},
            {"ankle_height", body.ankle_height},
            {"ankle_from_heel", body.ankle_from_heel},
            {"ankle_spacing", p.stance.ankle_spacing}}},
          {"toe_out_deg", {degrees(p.stance.toe_out.left), degrees(p.stance.toe_out.right)}},
          {"parts_s",
           {{"still", part_json(plan.parts.still)},
            {"align", part_json(plan.parts.align)},
            {"set", part_json(plan.parts.set)},
            {"still_after", part_json(plan.parts.still_after)}}}};
}

}  // namespace

std::string truth_json(const SquatMotion& motion, const std::vector<RepTruth>& reps,
                       const std::vector<SyntheticStrap>& straps, const TruthDetail& detail) {
  json out = plan_json(motion.plan());
  out["world"] = "X forwards, Y up, Z to the right; quaternions (w, x, y, z)";
  out["range_angle"] = "thigh_depth";
  out["reps"] = json::array();
  for (const RepTruth& rep : reps) out["reps"].push_back(rep_json(rep));
  out["straps"] = json::array();
  for (const SyntheticStrap& strap : straps) {
    json one = strap_json(strap.truth);
    if (detail.orientations) add_orientations(one, motion.plan(), strap);
    out["straps"].push_back(std::move(one));
  }
  if (detail.traces_hz > 0.0) out["traces"] = traces_json(motion, detail.traces_hz);
  return out.dump();
}

}  // namespace strapline::recordings::synthetic
