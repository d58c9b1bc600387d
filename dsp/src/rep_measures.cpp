#include "rep_measures.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <string_view>

#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;

enum class Pick { maximum, largest_size, mean, at_turn };

struct Statistic {
  std::string_view base, suffix;
  Pick pick;
};

// measures.md: the statistic named first carries the plain name.
constexpr std::array<Statistic, 19> kStatistics{{
    {"thigh_depth", "", Pick::maximum},
    {"knee_flexion", "", Pick::maximum},
    {"hip_flexion", "", Pick::maximum},
    {"ankle_flexion", "", Pick::maximum},
    {"trunk_lean", "", Pick::at_turn},
    {"trunk_lean", "_max", Pick::maximum},
    {"trunk_side_lean", "", Pick::largest_size},
    {"knee_line_distance", "", Pick::maximum},
    {"knee_line_distance", "_at_turn", Pick::at_turn},
    {"knee_line_angle", "", Pick::maximum},
    {"knee_line_angle", "_at_turn", Pick::at_turn},
    {"knee_travel", "", Pick::maximum},
    {"back_rounding", "", Pick::maximum},
    {"elbow_flexion", "", Pick::maximum},
    {"elbow_flare", "", Pick::at_turn},
    {"elbow_plane", "", Pick::at_turn},
    {"forearm_tilt", "", Pick::at_turn},
    {"body_line", "", Pick::mean},
    {"body_line", "_at_turn", Pick::at_turn},
}};

/// The standard uncertainty that holds 95 % within ±1.96 of it, where an error goes by `larger` to
/// one side and by `smaller` to the other for each of its standard deviations: all of it where both
/// are the same, 0.84 of it where only one side counts (1.645 of 1.96); in between the tails' sum
/// comes within a hundredth of this.
double two_sided_u(double larger, double smaller) {
  const double ratio = larger > 0.0 ? smaller / larger : 1.0;
  return larger * (0.84 + 0.16 * ratio * ratio * ratio * ratio);
}

/// The extreme of a rep: its highest value, or its largest by size; empty where nothing is known.
/// The errors of its samples go together, and with them the extreme may move to where the value is
/// less but less certain: that shows in what two standard uncertainties make of it either way.
std::optional<MeasuredValue> extreme(const MeasureTrace& trace, Pick how, Index from, Index to) {
  const auto size = [&](double x) { return how == Pick::maximum ? x : std::abs(x); };
  constexpr double kNone = -std::numeric_limits<double>::infinity();
  double low = kNone, high = kNone;
  Index best = -1;
  for (Index i = from; i <= to; ++i) {
    const double x = trace.value[i], twice = 2.0 * trace.u[i];
    if (!std::isfinite(x)) continue;
    if (best < 0 || size(x) > size(trace.value[best])) best = i;
    low = std::max(low, size(x - twice));
    high = std::max(high, size(x + twice));
  }
  if (best < 0) return std::nullopt;
  const double value = trace.value[best];
  const double up = 0.5 * std::abs(high - size(value)), down = 0.5 * std::abs(low - size(value));
  return MeasuredValue{value, two_sided_u(std::max(up, down), std::min(up, down)), trace.unit};
}

/// Mean over [from, to]; the errors of one rep's samples go together, so its u is theirs.
std::optional<MeasuredValue> mean_of(const MeasureTrace& trace, Index from, Index to) {
  MeasuredValue mean{0.0, 0.0, trace.unit};
  double count = 0.0;
  for (Index i = from; i <= to; ++i) {
    if (!std::isfinite(trace.value[i])) continue;
    mean.value += trace.value[i];
    mean.u += trace.u[i];
    count += 1.0;
  }
  if (count == 0.0) return std::nullopt;
  mean.value /= count;
  mean.u /= count;
  return mean;
}

std::optional<MeasuredValue> at(const MeasureTrace& trace, Index i) {
  if (!std::isfinite(trace.value[i])) return std::nullopt;
  return MeasuredValue{trace.value[i], trace.u[i], trace.unit};
}

std::optional<MeasuredValue> picked(const MeasureTrace& trace, Pick how, Index from, Index turn,
                                    Index to) {
  switch (how) {
    case Pick::mean:
      return mean_of(trace, from, to);
    case Pick::at_turn:
      return at(trace, turn);
    case Pick::maximum:
    case Pick::largest_size:
      break;
  }
  return extreme(trace, how, from, to);
}

std::string not_seen(const MeasureTrace& trace, Pick how) {
  if (trace.base == "elbow_flare") {
    return "the upper arm points straight out of the chest at the turn: seen from the front it has "
           "no direction";
  }
  if (trace.base == "knee_line_angle" && how == Pick::at_turn) {
    return "the thigh is within 45° of horizontal at the turn: its frontal projection has no "
           "direction";
  }
  return "no samples of the strap at that time";
}

MeasuredValue seconds(double value, double u) { return {value, u, Unit::second}; }

struct Duration {
  Border from, to;
  [[nodiscard]] MeasuredValue measured() const {
    return seconds(to.time_s - from.time_s, std::hypot(from.u_s, to.u_s));
  }
};

}  // namespace

Rep to_rep(const Excursion& e) {
  return {e.start.time_s, e.turn_in.time_s, e.turn_out.time_s, e.end.time_s, e.part, {}, e.side};
}

void add_statistics(const MeasureTrace& trace, const Eigen::VectorXd& t, const Excursion& e,
                    Rep& rep) {
  const Index from = nearest_index(t, e.start.time_s);
  const Index to = nearest_index(t, e.end.time_s);
  const bool other_leg =
      rep.side != Side::middle && trace.side != Side::middle && trace.side != rep.side;
  for (const Statistic& s : kStatistics) {
    if (s.base != trace.base) continue;
    const std::string name = trace.base + std::string(s.suffix) + side_suffix(trace.side);
    if (trace.value.size() == 0) {
      rep.measures[name] = NotMeasured{trace.missing};
      continue;
    }
    if (other_leg) {
      rep.measures[name] = NotMeasured{"the other leg works in this rep"};
      continue;
    }
    const auto value = picked(trace, s.pick, from, e.turn_index, to);
    rep.measures[name] = value ? Measure(*value) : Measure(NotMeasured{not_seen(trace, s.pick)});
  }
}

void add_range_and_tempo(const std::vector<Excursion>& excursions, FirstPhase first,
                         const std::vector<double>& range_u, std::vector<Rep>& reps) {
  const bool lowers_first = first == FirstPhase::lowering;
  const char* first_phase = lowers_first ? "lowering_s" : "lifting_s";
  const char* second_phase = lowers_first ? "lifting_s" : "lowering_s";
  const char* turn_hold = lowers_first ? "bottom_hold_s" : "top_hold_s";
  const char* start_hold = lowers_first ? "top_hold_s" : "bottom_hold_s";
  for (std::size_t k = 0; k < excursions.size(); ++k) {
    const Excursion& e = excursions[k];
    MeasureMap& m = reps[k].measures;
    m["range"] = MeasuredValue{e.range, range_u[k], Unit::radian};
    m[first_phase] = Duration{e.start, e.turn_in}.measured();
    m[turn_hold] = Duration{e.turn_in, e.turn_out}.measured();
    m[second_phase] = Duration{e.turn_out, e.end}.measured();
    m["time_under_tension_s"] = Duration{e.start, e.end}.measured();
    if (k + 1 < excursions.size()) {
      m[start_hold] = Duration{e.end, excursions[k + 1].start}.measured();
    } else {
      m[start_hold] = NotMeasured{"no rep follows"};
    }
  }
}

}  // namespace strapline::dsp
