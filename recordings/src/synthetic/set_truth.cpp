#include "strapline/recordings/synthetic/set_truth.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "excursion.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr double kGrid = 0.005;          // s
constexpr double kOnset = 0.05;          // share of the phase's peak rate (measures.md "tempo")
constexpr double kPrecision = 1e-6;      // s
constexpr double kBeyondProfile = 0.25;  // s, how far outside its profile a phase may end by sway

/// One phase: the sign of its rate, its fastest instant, and that rate.
struct Phase {
  dsp::Side side;
  double sign, peak_s, peak_rate;
};

Phase find_phase(const BodyMotion& motion, dsp::Side side, double from, double to, double sign) {
  Phase phase{side, sign, from, -1.0};
  for (double t = from; t <= to; t += kGrid) {
    const double rate = sign * motion.range_rate(t, side);
    if (rate > phase.peak_rate) phase = {side, sign, t, rate};
  }
  return phase;
}

/// The first instant, walking from the peak in steps of `step`, at which the rate is below the
/// onset share; then bisected. Stops at `limit` where sway keeps the rate above it.
double crossing(const BodyMotion& motion, const Phase& phase, double step, double limit) {
  const auto above = [&](double t) {
    return phase.sign * motion.range_rate(t, phase.side) > kOnset * phase.peak_rate;
  };
  double inside = phase.peak_s;
  double outside = inside + step;
  while (above(outside)) {
    inside = outside;
    outside += step;
    if ((step > 0.0) == (outside > limit)) return limit;
  }
  while (std::abs(outside - inside) > kPrecision) {
    const double middle = 0.5 * (inside + outside);
    (above(middle) ? inside : outside) = middle;
  }
  return 0.5 * (inside + outside);
}

void find_phases(const BodyMotion& motion, const Excursion& e, RepTruth& rep) {
  const Phase down = find_phase(motion, e.side, e.start, e.bottom, 1.0);
  const Phase up = find_phase(motion, e.side, e.bottom, e.end(), -1.0);
  rep.start_s = crossing(motion, down, -kGrid, e.start - kBeyondProfile);
  rep.turn_in_s = crossing(motion, down, kGrid, up.peak_s);
  rep.turn_out_s = crossing(motion, up, -kGrid, down.peak_s);
  rep.end_s = crossing(motion, up, kGrid, e.end() + kBeyondProfile);
}

enum class Pick { maximum, largest_size, mean, at_turn };

struct Statistic {
  std::string_view base, suffix;
  Pick pick;
};

// measures.md: the statistic named first carries the plain name.
constexpr std::array kStatistics{
    Statistic{"thigh_depth", "", Pick::maximum},
    Statistic{"knee_flexion", "", Pick::maximum},
    Statistic{"hip_flexion", "", Pick::maximum},
    Statistic{"ankle_flexion", "", Pick::maximum},
    Statistic{"knee_line_distance", "", Pick::maximum},
    Statistic{"knee_line_distance", "_at_turn", Pick::at_turn},
    Statistic{"knee_line_angle", "", Pick::maximum},
    Statistic{"knee_line_angle", "_at_turn", Pick::at_turn},
    Statistic{"knee_travel", "", Pick::maximum},
    Statistic{"trunk_lean", "", Pick::at_turn},
    Statistic{"trunk_lean", "_max", Pick::maximum},
    Statistic{"trunk_side_lean", "", Pick::largest_size},
    Statistic{"back_rounding", "", Pick::maximum},
    Statistic{"elbow_flexion", "", Pick::maximum},
    Statistic{"elbow_flare", "", Pick::at_turn},
    Statistic{"elbow_plane", "", Pick::at_turn},
    Statistic{"forearm_tilt", "", Pick::at_turn},
    Statistic{"body_line", "", Pick::mean},
    Statistic{"body_line", "_at_turn", Pick::at_turn},
};

/// One statistic of one measure while a rep is walked through.
class Gathered {
 public:
  Gathered(Pick pick, double at_turn) : pick_(pick), best_(at_turn) {}

  /// Unknown (not a number) never wins.
  void add(double value) {
    if (std::isnan(value)) return;
    sum_ += value;
    ++count_;
    const bool more =
        pick_ == Pick::maximum ? !(best_ >= value) : !(std::abs(best_) >= std::abs(value));
    if (pick_ != Pick::at_turn && more) best_ = value;
  }
  double result() const { return pick_ == Pick::mean ? sum_ / count_ : best_; }

 private:
  Pick pick_;
  double best_;
  double sum_ = 0.0;
  int count_ = 0;
};

/// The deepest instant between the two phases: the range angle's rate falls through zero there
/// (sway makes it do so in a long hold more than once, hence the grid).
double find_turn(const BodyMotion& motion, const RepTruth& rep) {
  constexpr int kSteps = 400;
  double turn = rep.turn_in_s;
  double deepest = -10.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double t = rep.turn_in_s + (rep.turn_out_s - rep.turn_in_s) * i / kSteps;
    const double angle = motion.range_angle(t, rep.side);
    if (angle > deepest) {
      deepest = angle;
      turn = t;
    }
  }
  return turn;
}

/// The gatherers of each bone value, in the order of BodyMotion::bones.
struct Named {
  std::size_t bone;
  std::string name;
  dsp::Unit unit;
  Gathered gathered;
};

/// Of a leg that works alone only its own measures count.
std::vector<Named> gatherers(const std::vector<BoneValue>& at_turn, dsp::Side side) {
  std::vector<Named> all;
  for (std::size_t k = 0; k < at_turn.size(); ++k) {
    const BoneValue& bone = at_turn[k];
    if (side != dsp::Side::middle && bone.side != dsp::Side::middle && bone.side != side) continue;
    for (const Statistic& s : kStatistics) {
      if (s.base != bone.base) continue;
      const std::string name =
          std::string(s.base) + std::string(s.suffix) + dsp::side_suffix(bone.side);
      all.push_back({k, name, bone.unit, Gathered(s.pick, bone.value)});
    }
  }
  return all;
}

void measure_rep(const BodyMotion& motion, RepTruth& rep) {
  rep.turn_s = find_turn(motion, rep);
  std::vector<Named> all = gatherers(motion.bones(rep.turn_s), rep.side);
  const double furthest = motion.range_angle(rep.turn_s, rep.side);
  double least = furthest;
  const int steps = static_cast<int>(std::ceil((rep.end_s - rep.start_s) / kGrid));
  for (int i = 0; i <= steps; ++i) {
    const double t = rep.start_s + (rep.end_s - rep.start_s) * i / steps;
    const std::vector<BoneValue> bones = motion.bones(t);
    for (Named& one : all) one.gathered.add(bones[one.bone].value);
    least = std::min(least, motion.range_angle(t, rep.side));
  }
  rep.range = furthest - least;
  for (const Named& one : all) rep.measures[one.name] = {one.gathered.result(), one.unit};
}

void mark_part_reps(std::vector<RepTruth>& reps) {
  if (reps.empty()) return;
  std::vector<double> ranges;
  for (const RepTruth& rep : reps) ranges.push_back(rep.range);
  std::sort(ranges.begin(), ranges.end());
  const std::size_t n = ranges.size();
  const double median = 0.5 * (ranges[(n - 1) / 2] + ranges[n / 2]);
  for (RepTruth& rep : reps) rep.part = rep.range < 0.5 * median;
}

}  // namespace

std::vector<RepTruth> rep_truth(const BodyMotion& motion) {
  std::vector<RepTruth> reps;
  for (const Excursion& e : motion.excursions()) {
    if (e.align) continue;
    RepTruth rep;
    rep.side = e.side;
    find_phases(motion, e, rep);
    measure_rep(motion, rep);
    if (!reps.empty()) reps.back().start_hold_s = rep.start_s - reps.back().end_s;
    reps.push_back(rep);
  }
  mark_part_reps(reps);
  return reps;
}

}  // namespace strapline::recordings::synthetic
