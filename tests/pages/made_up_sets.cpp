#include "made_up_sets.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "strapline/coaching/calendar.hpp"

namespace strapline::pages {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kRate = 100.0;

dsp::MeasuredValue degrees(double value, double u) {
  return {value * kDegree, u * kDegree, dsp::Unit::radian};
}
dsp::MeasuredValue centimetres(double value, double u) {
  return {value / 100.0, u / 100.0, dsp::Unit::metre};
}
dsp::MeasuredValue seconds(double value, double u) { return {value, u, dsp::Unit::second}; }

/// 0 standing, 1 at the bottom: smooth lowering, hold and lifting.
double bend(const dsp::Rep& rep, double t) {
  const auto ease = [](double x) { return 0.5 - 0.5 * std::cos(std::numbers::pi * x); };
  if (t <= rep.start_s || t >= rep.end_s) return 0.0;
  if (t < rep.turn_in_s) return ease((t - rep.start_s) / (rep.turn_in_s - rep.start_s));
  if (t > rep.turn_out_s) return ease((rep.end_s - t) / (rep.end_s - rep.turn_out_s));
  return 1.0;
}

std::vector<dsp::Rep> reps() {
  std::vector<dsp::Rep> list;
  double start = 5.0;
  for (int i = 0; i < 6; ++i) {
    dsp::Rep rep;
    rep.part = i == 3;
    rep.start_s = start;
    rep.turn_in_s = start + (rep.part ? 1.1 : 2.1);
    rep.turn_out_s = rep.turn_in_s + 0.4;
    rep.end_s = rep.turn_out_s + (rep.part ? 0.8 : 1.4 + 0.1 * i);
    start = rep.end_s + 1.0;
    list.push_back(rep);
  }
  return list;
}

void measure(dsp::Rep& rep, int i) {
  const double reach = rep.part ? 0.4 : 1.0;
  rep.measures["thigh_depth_left"] = degrees(-90 + 93 * reach - i, 2.4);
  rep.measures["thigh_depth_right"] = degrees(-90 + 95 * reach - i, 2.4);
  rep.measures["knee_flexion_left"] = degrees(112 * reach - 0.8 * i, 2.9);
  rep.measures["knee_flexion_right"] = degrees(114 * reach - 0.7 * i, 2.9);
  rep.measures["knee_line_distance_left"] = centimetres(2.1 + 0.3 * i, 1.1);
  rep.measures["knee_line_distance_at_turn_left"] = centimetres(1.2 + 0.2 * i, 1.1);
  rep.measures["knee_travel_left"] = dsp::NotMeasured{"needs the length of the foot"};
  rep.measures["knee_travel_right"] = dsp::NotMeasured{"needs the length of the foot"};
  rep.measures["trunk_lean"] = degrees(38 + i, 2.0);
  if (i == 2) rep.measures["trunk_lean"] = dsp::NotMeasured{"the chest strap lost samples here"};
  rep.measures["range"] = degrees(93 * reach - i, 1.5);
  rep.measures["lowering_s"] = seconds(rep.turn_in_s - rep.start_s, 0.03);
  rep.measures["bottom_hold_s"] = seconds(0.4, 0.04);
  rep.measures["lifting_s"] = seconds(rep.end_s - rep.turn_out_s, 0.03);
  rep.measures["top_hold_s"] = seconds(1.0, 0.04);
}

void add_trace(dsp::SetAnalysis& analysis, const std::string& name, dsp::Unit unit, double standing,
               double span, double wobble) {
  dsp::Trace trace{name, unit, Eigen::VectorXd(analysis.t.size())};
  for (Eigen::Index i = 0; i < analysis.t.size(); ++i) {
    double value = standing + wobble * std::sin(1.7 * analysis.t[i]);
    for (const dsp::Rep& rep : analysis.reps) {
      value += span * (rep.part ? 0.4 : 1.0) * bend(rep, analysis.t[i]);
    }
    trace.value[i] = value;
  }
  analysis.traces.push_back(std::move(trace));
}

coaching::ComparedSet weekly_set(int index, std::mt19937& random) {
  std::normal_distribution<double> noise(0.0, 1.0);
  coaching::ComparedSet set;
  set.started_utc = coaching::date_from_days(20720 + 6 * index) + "T17:30:00Z";
  set.name = "stretcher-lead-" + set.started_utc.substr(0, 10) + ".h5";
  set.client = "stretcher lead";
  set.movement = "squat";
  set.variation = index == 4 ? "front" : "box";
  set.kit = "thighs, shanks, chest";
  set.load_kg = 40.0 + 2.5 * index;
  if (index != 6) set.effort_rpe = 6.0 + 0.25 * index;
  set.pain = index == 9 ? 1.0 : 0.0;
  const double depth = -12 + 2.2 * index + 1.5 * noise(random);
  const double line = 3.0 + 0.8 * noise(random);
  set.full_reps = 5;
  std::map<std::string, std::vector<dsp::MeasuredValue>> reps;
  for (int rep = 0; rep < set.full_reps; ++rep) {
    reps["thigh_depth_left"].push_back(degrees(depth + noise(random), 2.4));
    reps["knee_flexion_left"].push_back(degrees(104 + 0.5 * noise(random), 2.9));
    reps["knee_line_distance_left"].push_back(centimetres(line + 0.3 * rep, 1.1));
    reps["lowering_s"].push_back(seconds(2.0 + 0.1 * noise(random), 0.03));
  }
  for (const auto& [name, values] : reps) set.measures[name] = coaching::summarise_reps(values);
  if (index == 9) set.not_measured["trunk_lean"] = "needs a chest strap";
  return set;
}

}  // namespace

ReviewPageInput made_up_review() {
  ReviewPageInput input;
  input.movement = coaching::load_movement("squat").value();
  input.recording_name = "stretcher-lead-2026-11-25.h5";
  input.description.client = "stretcher lead";
  input.description.variation = "high bar, heels on a 2 cm wedge";
  input.description.kit = "thighs, shanks, chest";
  input.description.started_utc = "2026-11-25T17:30:00Z";
  input.description.load_kg = 62.5;
  input.description.effort_rpe = 8;
  input.description.notes = kHostileNote;

  dsp::SetAnalysis& analysis = input.analysis;
  analysis.algorithm = "strapline analysis 0.1";
  analysis.reps = reps();
  for (int i = 0; i < 6; ++i) measure(analysis.reps[static_cast<std::size_t>(i)], i);
  const double length = analysis.reps.back().end_s + 4.0;
  const auto n = static_cast<Eigen::Index>(length * kRate);
  analysis.t = Eigen::VectorXd::LinSpaced(n, 0.0, static_cast<double>(n - 1) / kRate);
  analysis.range_trace = "thigh_depth";
  add_trace(analysis, "knee_flexion_left", dsp::Unit::radian, 3 * kDegree, 110 * kDegree, 0.01);
  add_trace(analysis, "knee_flexion_right", dsp::Unit::radian, 5 * kDegree, 112 * kDegree, 0.01);
  add_trace(analysis, "thigh_depth", dsp::Unit::radian, -89 * kDegree, 93 * kDegree, 0.01);
  add_trace(analysis, "thigh_depth_left", dsp::Unit::radian, -90 * kDegree, 92 * kDegree, 0.01);
  add_trace(analysis, "thigh_depth_right", dsp::Unit::radian, -88 * kDegree, 94 * kDegree, 0.01);
  add_trace(analysis, "knee_line_distance_left", dsp::Unit::metre, 0.004, 0.022, 0.004);
  add_trace(analysis, "knee_line_distance_right", dsp::Unit::metre, -0.002, 0.012, 0.003);
  add_trace(analysis, "trunk_lean", dsp::Unit::radian, 4 * kDegree, 36 * kDegree, 0.015);
  analysis.traces.back()
      .value.segment(n / 2, 150)
      .setConstant(std::numeric_limits<double>::quiet_NaN());
  analysis.notes = {"No second still part: drift over the set is part of the uncertainty.",
                    "The right shank strap moved by about 3° during the set."};
  analysis.straps = {
      {{dsp::Segment::thigh, dsp::Side::left}, true, 6 * kDegree, 2.1 * kDegree, {}, {}},
      {{dsp::Segment::shank, dsp::Side::left}, true, 11 * kDegree, 1.8 * kDegree, {}, {}},
      {{dsp::Segment::chest, dsp::Side::middle}, false, {}, {}, {}, {}}};
  return input;
}

ComparePageInput made_up_comparison() {
  std::mt19937 random(7);
  std::vector<coaching::ComparedSet> sets;
  for (int i = 0; i < 10; ++i) sets.push_back(weekly_set(i, random));
  coaching::CompareOptions options;
  options.smallest_that_matters = {{"knee_flexion", 14 * kDegree}, {"lowering_s", 0.4}};
  return {coaching::compare_sets(std::move(sets), options).value(),
          coaching::load_movement("squat").value()};
}

}  // namespace strapline::pages
