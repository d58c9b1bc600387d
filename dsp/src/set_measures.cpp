#include "set_measures.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>

#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr std::size_t kLeastReps = 3;  // for a spread: with two it is nearly all chance
constexpr Index kPhases = 101;         // of a time-normalised rep: each percent of it

const std::string kLeft = side_suffix(Side::left);
const std::string kRight = side_suffix(Side::right);
const std::string kDifference = "_difference";

const MeasuredValue* measured(const Rep& rep, const std::string& name) {
  const auto found = rep.measures.find(name);
  return found == rep.measures.end() ? nullptr : std::get_if<MeasuredValue>(&found->second);
}

/// "knee_flexion" of "knee_flexion_left"; empty for any other name.
std::string stem_of_left(const std::string& name) {
  return name.ends_with(kLeft) ? name.substr(0, name.size() - kLeft.size()) : std::string{};
}

MeasuredValue less(const MeasuredValue& a, const MeasuredValue& b) {
  return {a.value - b.value, std::hypot(a.u, b.u), a.unit};
}

/// The values that a measure has over the full reps.
struct Values {
  std::vector<MeasuredValue> all;

  [[nodiscard]] MeasuredValue mean() const {
    MeasuredValue m{0.0, 0.0, all.front().unit};
    for (const MeasuredValue& v : all) {
      m.value += v.value / static_cast<double>(all.size());
      m.u += v.u * v.u / static_cast<double>(all.size());  // reps share their alignment
    }
    m.u = std::sqrt(m.u);
    return m;
  }
};

std::map<std::string, Values> values_of(const std::vector<Rep>& reps) {
  std::map<std::string, Values> values;
  for (const Rep& rep : reps) {
    if (rep.part) continue;
    for (const auto& [name, measure] : rep.measures) {
      const auto* value = std::get_if<MeasuredValue>(&measure);
      if (value != nullptr) values[name].all.push_back(*value);
    }
  }
  return values;
}

/// Standard uncertainty of an SD from n draws of a normal distribution (common statistics).
double u_of_sd(double sd, std::size_t n) {
  return sd / std::sqrt(2.0 * (static_cast<double>(n) - 1.0));
}

std::optional<MeasuredValue> spread(const Values& values) {
  const std::size_t n = values.all.size();
  if (n < kLeastReps) return std::nullopt;
  const double mean = values.mean().value;
  double squares = 0.0;
  for (const MeasuredValue& v : values.all) squares += (v.value - mean) * (v.value - mean);
  const double sd = std::sqrt(squares / static_cast<double>(n - 1));
  return MeasuredValue{sd, u_of_sd(sd, n), values.all.front().unit};
}

/// The trace over the rep at kPhases evenly spaced times; empty where a part of it is unknown.
VectorXd time_normalised(const VectorXd& t, const VectorXd& value, const Rep& rep) {
  VectorXd curve(kPhases);
  for (Index k = 0; k < kPhases; ++k) {
    const double share = static_cast<double>(k) / static_cast<double>(kPhases - 1);
    const double at = (rep.start_s + share * (rep.end_s - rep.start_s) - t[0]) / (t[1] - t[0]);
    const auto i = std::clamp<Index>(static_cast<Index>(at), 0, t.size() - 2);
    const double part = std::clamp(at - static_cast<double>(i), 0.0, 1.0);
    curve[k] = (1.0 - part) * value[i] + part * value[i + 1];
  }
  return curve.allFinite() ? curve : VectorXd();
}

Side side_of(const std::string& name) {
  if (name.ends_with(kLeft)) return Side::left;
  return name.ends_with(kRight) ? Side::right : Side::middle;
}

std::optional<MeasuredValue> curve_spread(const Trace& trace, const VectorXd& t,
                                          const std::vector<Rep>& reps) {
  const Side side = side_of(trace.name);
  std::vector<VectorXd> curves;
  for (const Rep& rep : reps) {
    const bool other_leg = side != Side::middle && rep.side != Side::middle && rep.side != side;
    if (rep.part || other_leg) continue;
    const VectorXd curve = time_normalised(t, trace.value, rep);
    if (curve.size() > 0) curves.push_back(curve);
  }
  if (curves.size() < kLeastReps) return std::nullopt;
  const auto n = static_cast<double>(curves.size());
  VectorXd mean = VectorXd::Zero(kPhases);
  for (const VectorXd& curve : curves) mean += curve / n;
  double variance = 0.0;
  for (const VectorXd& curve : curves) variance += (curve - mean).squaredNorm() / (n - 1.0);
  const double sd = std::sqrt(variance / static_cast<double>(kPhases));
  return MeasuredValue{sd, u_of_sd(sd, curves.size()), trace.unit};
}

/// "knee_flexion_curve_sd_left" of "knee_flexion_left".
std::string with_statistic(const std::string& name, const std::string& statistic) {
  const std::string suffix = side_suffix(side_of(name));
  return name.substr(0, name.size() - suffix.size()) + statistic + suffix;
}

std::optional<MeasuredValue> velocity_loss(const std::vector<Rep>& reps) {
  const MeasuredValue* fastest = nullptr;
  const MeasuredValue* last = nullptr;
  int n = 0;
  for (const Rep& rep : reps) {
    const MeasuredValue* v = rep.part ? nullptr : measured(rep, "concentric_velocity");
    if (v == nullptr) continue;
    ++n;
    last = v;
    if (fastest == nullptr || v->value > fastest->value) fastest = v;
  }
  if (n < 2 || fastest->value <= 0.0) return std::nullopt;
  const double left = last->value / fastest->value;
  return MeasuredValue{1.0 - left, std::hypot(last->u, left * fastest->u) / fastest->value,
                       Unit::one};
}

/// Where a rep is of one leg, the sides are compared over the set.
void add_sides(const std::vector<Rep>& reps, const std::map<std::string, Values>& values,
               MeasureMap& out) {
  const auto did = [&](Side side) {
    return std::any_of(reps.begin(), reps.end(), [&](const Rep& rep) { return rep.side == side; });
  };
  if (!did(Side::left) || !did(Side::right)) return;
  for (const auto& [name, left] : values) {
    const std::string stem = stem_of_left(name);
    const auto right = stem.empty() ? values.end() : values.find(stem + kRight);
    if (right == values.end()) continue;
    out[stem + kDifference] = less(left.mean(), right->second.mean());
  }
}

}  // namespace

void add_left_less_right(std::vector<Rep>& reps) {
  for (Rep& rep : reps) {
    MeasureMap differences;
    for (const auto& [name, measure] : rep.measures) {
      const std::string stem = stem_of_left(name);
      if (stem.empty()) continue;
      const MeasuredValue* left = std::get_if<MeasuredValue>(&measure);
      const MeasuredValue* right = measured(rep, stem + kRight);
      if (left != nullptr && right != nullptr)
        differences[stem + kDifference] = less(*left, *right);
    }
    rep.measures.merge(differences);
  }
}

MeasureMap measures_of_set(const std::vector<Rep>& reps, const std::vector<Trace>& traces,
                           const VectorXd& t) {
  MeasureMap out;
  const std::map<std::string, Values> values = values_of(reps);
  for (const auto& [name, all] : values) {
    if (const auto sd = spread(all)) out[with_statistic(name, "_sd")] = *sd;
  }
  for (const Trace& trace : traces) {
    if (const auto sd = curve_spread(trace, t, reps)) {
      out[with_statistic(trace.name, "_curve_sd")] = *sd;
    }
  }
  if (const auto loss = velocity_loss(reps)) out["velocity_loss"] = *loss;
  add_sides(reps, values, out);
  return out;
}

}  // namespace strapline::dsp
