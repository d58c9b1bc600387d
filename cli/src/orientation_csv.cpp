#include "orientation_csv.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>

#include <Eigen/Geometry>
#include <fmt/format.h>

#include "strapline/dsp/orientation_smoother.hpp"

namespace strapline::cli {
namespace {

using Eigen::Index;

/// The analysis has Y up, the file z: a quarter turn about the common X axis.
Eigen::Quaterniond q_earth_from_world() {
  return Eigen::Quaterniond(Eigen::AngleAxisd(0.5 * std::numbers::pi, Eigen::Vector3d::UnitX()));
}

void add_strap(const recordings::StrapRecord& strap, OrientationKind kind, std::string& text) {
  const dsp::StrapSeries series = recordings::to_series(strap);
  const dsp::OrientationParams params = dsp::params_for(series.errors);
  const dsp::OrientationSeries found = kind == OrientationKind::streaming
                                           ? dsp::streaming_orientation(series.data, params)
                                           : dsp::smoothed_orientation(series.data, params);
  const std::string name = dsp::to_string(strap.placement);
  const Eigen::Quaterniond to_earth = q_earth_from_world();
  for (Index i = 0; i < found.t.size(); ++i) {
    Eigen::Quaterniond q =
        (to_earth * found.q_world_from_sensor[static_cast<std::size_t>(i)]).normalized();
    if (q.w() < 0.0) q.coeffs() *= -1.0;
    fmt::format_to(std::back_inserter(text), "{},{},{:.9f},{:.9f},{:.9f},{:.9f}\n", name,
                   found.t[i], q.w(), q.x(), q.y(), q.z());
  }
}

}  // namespace

std::string orientation_csv(const recordings::Recording& recording, OrientationKind kind) {
  std::string text = "placement,t,qw,qx,qy,qz\n";
  for (const recordings::StrapRecord& strap : recording.straps) add_strap(strap, kind, text);
  return text;
}

std::string angles_csv(const dsp::SetAnalysis& analysis) {
  std::string text = "t";
  std::vector<const dsp::Trace*> angles;
  for (const dsp::Trace& trace : analysis.traces) {
    if (trace.unit != dsp::Unit::radian) continue;
    const bool listed = std::any_of(angles.begin(), angles.end(),
                                    [&](const auto* other) { return other->name == trace.name; });
    if (listed) continue;  // the range's own trace may be a measure as well
    angles.push_back(&trace);
    text += "," + trace.name;
  }
  text += '\n';
  for (Index i = 0; i < analysis.t.size(); ++i) {
    text += fmt::format("{}", analysis.t[i]);
    for (const dsp::Trace* trace : angles) {
      const double value = trace->value[i] * dsp::display_factor(dsp::Unit::radian);
      text += std::isfinite(value) ? fmt::format(",{:.9g}", value) : ",";
    }
    text += '\n';
  }
  return text;
}

}  // namespace strapline::cli
