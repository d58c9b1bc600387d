#include "vertical_velocity.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "strapline/dsp/calibration.hpp"
#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kLongestRest = 0.3;  // s of a hold that still shows the strap at rest

/// m/s, 1 sigma: how fast a strap still moves where the range angle stands still. A standing body
/// sways at about a centimetre a second (posturography, from memory).
constexpr double kRestVelocity = 0.01;

/// The strap that the velocity is of.
std::optional<std::size_t> chosen_strap(const MovementSpec& spec,
                                        const std::vector<PreparedStrap>& straps) {
  for (const Segment segment : spec.velocity_of) {
    const auto found = std::find_if(straps.begin(), straps.end(),
                                    [&](const auto& s) { return s.placement.segment == segment; });
    if (found != straps.end()) return static_cast<std::size_t>(found - straps.begin());
  }
  return std::nullopt;
}

using Accelerations = Eigen::Matrix4Xd;  // of vertical_acceleration

/// From one instant at rest to the next, with the lifting phase in between; s.
struct Lift {
  Interval rests;
  Interval phase;
};

/// Rest in the start posture, `hold` s long: where in it the strap is taken to stand still.
double into_rest(double hold) { return std::min(kLongestRest, 0.5 * std::max(0.0, hold)); }

Lift lift_of(const std::vector<Excursion>& all, std::size_t k, FirstPhase first,
             const VectorXd& t) {
  const Excursion& e = all[k];
  const double turn = 0.5 * (e.turn_in.time_s + e.turn_out.time_s);
  if (first == FirstPhase::lowering) {
    const double next = k + 1 < all.size() ? all[k + 1].start.time_s : t[t.size() - 1];
    const double end = e.end.time_s + into_rest(next - e.end.time_s);
    return {{turn, end}, {e.turn_out.time_s, e.end.time_s}};
  }
  const double before = k > 0 ? all[k - 1].end.time_s : t[0];
  const double start = e.start.time_s - into_rest(e.start.time_s - before);
  return {{start, turn}, {e.start.time_s, e.turn_in.time_s}};
}

/// A velocity and what its error follows from.
struct Velocity {
  double value = 0.0;       // m/s
  double per_offset = 0.0;  // s: of an accelerometer's offset
  double per_rest = 0.0;    // 1: of the velocity that either rest may have
};

struct LiftVelocity {
  Velocity mean, peak;
};

/// `v`: row 0 the velocity, m/s, rows 1 to 3 what an offset adds. `along`: 0 at the first rest …
/// 1 at the second.
Velocity velocity_of(const Eigen::Vector4d& v, double along) {
  return {v[0], v.tail<3>().norm(), std::hypot(1.0 - along, along)};
}

std::optional<LiftVelocity> integrate(const Accelerations& up, const PreparedStrap& strap,
                                      const VectorXd& t, const Lift& lift) {
  const Index from = nearest_index(t, lift.rests.from_s);
  const Index to = nearest_index(t, lift.rests.to_s);
  if (to - from < 5) return std::nullopt;
  for (Index i = from; i <= to; ++i) {
    if (strap.motion.known[static_cast<std::size_t>(i)] == 0) return std::nullopt;
  }
  const double step = t[1] - t[0];
  Eigen::Matrix4Xd v = Eigen::Matrix4Xd::Zero(4, to - from + 1);
  for (Index i = 1; i < v.cols(); ++i) {
    v.col(i) = v.col(i - 1) + 0.5 * step * (up.col(from + i - 1) + up.col(from + i));
  }
  const Eigen::Vector4d drift = v.col(v.cols() - 1);
  const VectorXd along = VectorXd::LinSpaced(v.cols(), 0.0, 1.0);
  v -= drift * along.transpose();
  const Index first = std::max<Index>(0, nearest_index(t, lift.phase.from_s) - from);
  const Index last = std::min<Index>(v.cols() - 1, nearest_index(t, lift.phase.to_s) - from);
  if (last <= first) return std::nullopt;
  const auto lifting = v.middleCols(first, last - first + 1);
  Index fastest = 0;
  lifting.row(0).maxCoeff(&fastest);
  return LiftVelocity{velocity_of(lifting.rowwise().mean(), 0.5 * (along[first] + along[last])),
                      velocity_of(lifting.col(fastest), along[first + fastest])};
}

/// 1: gain of an accelerometer that was not calibrated (about 1 %: datasheets). At rest it looks
/// like an offset of that share of gravity.
constexpr double kGainError = 0.01;

/// An offset of the accelerometer is drift, which the rests take out, as long as the strap does not
/// turn. `more`: m/s, what else is uncertain.
MeasuredValue measured(const Velocity& v, const SensorErrors& errors, double more) {
  const double offset = std::hypot(errors.acc_bias_sd, kGainError * kStandardGravity);
  const double u = std::hypot(offset * v.per_offset, kRestVelocity * v.per_rest, more);
  return {v.value, u, Unit::metre_per_second};
}

/// The mean's borders: what is wrongly left out or taken in is a stretch of hardly any velocity.
MeasuredValue mean_velocity(const Velocity& v, const Lift& lift, const SensorErrors& errors,
                            double border_u) {
  return measured(v, errors, v.value * border_u / std::max(0.05, lift.phase.length()));
}

std::string missing(const MovementSpec& spec) {
  std::string names;
  for (const Segment segment : spec.velocity_of) {
    names += (names.empty() ? "" : " or ") + to_string({segment, Side::middle});
  }
  return "needs a strap on " + names;
}

void set_both(Rep& rep, const Measure& mean, const Measure& peak) {
  rep.measures["concentric_velocity"] = mean;
  rep.measures["concentric_velocity_peak"] = peak;
}

}  // namespace

Eigen::Matrix4Xd vertical_acceleration(const InertialSeries& series, const PreparedStrap& strap,
                                       const VectorXd& t) {
  Eigen::Matrix4Xd up = Eigen::Matrix4Xd::Zero(4, t.size());
  Index right = 1;
  for (Index i = 0; i < t.size() && series.size() > 1; ++i) {
    while (right < series.size() - 1 && series.t[right] < t[i]) ++right;
    const Index left = right - 1;
    const double part =
        std::clamp((t[i] - series.t[left]) / (series.t[right] - series.t[left]), 0.0, 1.0);
    const Vector3d force = (1.0 - part) * series.acc.col(left) + part * series.acc.col(right);
    const auto& q = strap.motion.q_world_from_sensor[static_cast<std::size_t>(i)];
    up(0, i) = world_up().dot(q * force) - kStandardGravity;
    up.col(i).tail<3>() = q.conjugate() * world_up();
  }
  return up;
}

void add_concentric_velocity(const MovementSpec& spec, const std::vector<StrapSeries>& series,
                             const std::vector<PreparedStrap>& straps, const VectorXd& t,
                             const std::vector<Excursion>& excursions, std::vector<Rep>& reps) {
  if (spec.velocity_of.empty()) return;
  const auto chosen = chosen_strap(spec, straps);
  if (!chosen) {
    const Measure none = NotMeasured{missing(spec)};
    for (Rep& rep : reps) set_both(rep, none, none);
    return;
  }
  const PreparedStrap& strap = straps[*chosen];
  const Accelerations up = vertical_acceleration(series[*chosen].data, strap, t);
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const Lift lift = lift_of(excursions, k, spec.first_phase, t);
    const auto v = integrate(up, strap, t, lift);
    if (!v) {
      const Measure none = NotMeasured{"no samples of the strap at that time"};
      set_both(reps[k], none, none);
      continue;
    }
    const bool lowers_first = spec.first_phase == FirstPhase::lowering;
    const Excursion& e = excursions[k];
    const double border_u = lowers_first ? std::hypot(e.turn_out.u_s, e.end.u_s)
                                         : std::hypot(e.start.u_s, e.turn_in.u_s);
    const SensorErrors& errors = series[*chosen].errors;
    set_both(reps[k], mean_velocity(v->mean, lift, errors, border_u),
             measured(v->peak, errors, 0.0));
  }
}

}  // namespace strapline::dsp
