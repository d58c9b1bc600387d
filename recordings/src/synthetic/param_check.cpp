#include "param_check.hpp"

#include <array>
#include <cmath>
#include <string>
#include <string_view>

#include "body_chain.hpp"

namespace strapline::recordings::synthetic {
namespace {

struct Bound {
  std::string_view field;
  double value, least, most;
  std::string_view unit;
};

std::string number(double value) {
  std::string text = std::to_string(value);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string place(double t) { return "second " + number(std::round(t * 100.0) / 100.0); }

}  // namespace

dsp::Result<void> check_params(const SquatSetParams& p) {
  const BodyLengths body = lengths_of(p.body);
  const double flexion = p.posture.shank_lean + p.posture.thigh_lean;
  const std::array<Bound, 28> bounds{{
      {"height", p.body.height, 1.0, 2.5, "m"},
      {"thigh", body.thigh, 0.2, 0.8, "m"},
      {"shank", body.shank, 0.2, 0.8, "m"},
      {"foot", body.foot, 0.1, 0.5, "m"},
      {"hip spacing", body.hip_spacing, 0.05, 0.4, "m"},
      {"ankle spacing", p.stance.ankle_spacing, 0.05, 0.8, "m"},
      {"toe-out left", p.stance.toe_out.left, deg(-20.0), deg(60.0), "rad"},
      {"toe-out right", p.stance.toe_out.right, deg(-20.0), deg(60.0), "rad"},
      {"next ankle spacing", p.stance.ankle_spacing + p.restance.ankle_spacing, 0.05, 0.8, "m"},
      {"next toe-out left", p.stance.toe_out.left + p.restance.toe_out.left, deg(-20.0), deg(60.0),
       "rad"},
      {"next toe-out right", p.stance.toe_out.right + p.restance.toe_out.right, deg(-20.0),
       deg(60.0), "rad"},
      {"step to the next stance", p.restance.step, 0.3, 5.0, "s"},
      {"reps", static_cast<double>(p.reps), 0.0, 100.0, ""},
      {"depth", p.depth, deg(-80.0), deg(40.0), "rad"},
      {"lowering", p.tempo.lowering, 0.2, 30.0, "s"},
      {"bottom hold", p.tempo.bottom_hold, 0.0, 30.0, "s"},
      {"lifting", p.tempo.lifting, 0.2, 30.0, "s"},
      {"top hold", p.tempo.top_hold, 0.0, 60.0, "s"},
      {"part share", p.part_share, 0.2, 1.0, ""},
      {"grind", p.grind, 1.0, 6.0, ""},
      {"pause", p.pause, 0.0, 120.0, "s"},
      {"standing knee flexion", flexion, 0.0, deg(20.0), "rad"},
      {"still", p.parts.still, 1.0, 600.0, "s"},
      {"knee within", p.knee_within, deg(10.0), deg(60.0), "rad"},
      {"alignment knee within", p.parts.align_knee_within, deg(10.0), deg(60.0), "rad"},
      {"alignment travel", p.parts.align_travel, deg(20.0), deg(80.0), "rad"},
      {"sway", p.sway, 0.0, 1.4, ""},
      {"knee wander", p.knee_wander, 0.0, 4.0, ""},
  }};
  for (const Bound& b : bounds) {
    if (b.value >= b.least && b.value <= b.most) continue;  // not a number fails, too
    const std::string unit = b.unit.empty() ? "" : " " + std::string(b.unit);
    return dsp::fail(std::string(b.field) + " is " + number(b.value) + unit, "synthetic set",
                     "choose " + number(b.least) + " to " + number(b.most) + unit);
  }
  return {};
}

dsp::Result<void> check_reach(const SetPlan& plan) {
  constexpr double kStep = 0.02;  // s; profiles change slowly against it
  constexpr double kBackwards = deg(-2.0);  // a straight knee sways by tenths of a degree
  for (const SquatExcursion& e : plan.excursions) {
    for (double t = e.start; t < e.end(); t += kStep) {
      const Drives<double> drives = drives_at(plan, t);
      for (const double flexion : {drives.flexion.left, drives.flexion.right}) {
        if (flexion > kBackwards && flexion < deg(160.0)) continue;
        return dsp::fail("the knee would flex by " + number(std::round(flexion / deg(1.0))) + "°",
                         place(t), "choose less depth, shank lean or asymmetry");
      }
      const auto hips = hip_centres(plan, drives);
      for (const bool right : {false, true}) {
        const auto leg = leg_between(plan, drives, right, right ? hips.right : hips.left);
        if (leg.knee.allFinite()) continue;
        return dsp::fail(
            std::string("the ") + (right ? "right" : "left") + " leg cannot reach its knee line",
            place(t), "choose a knee line nearer to 0 or another stance");
      }
    }
  }
  for (const SquatExcursion& e : plan.excursions) {
    if (e.align || std::abs(depth_error(plan, e)) < deg(0.01)) continue;
    return dsp::fail("the legs cannot reach the asked depth", place(e.bottom),
                     "choose less depth or more shank lean");
  }
  return {};
}

}  // namespace strapline::recordings::synthetic
