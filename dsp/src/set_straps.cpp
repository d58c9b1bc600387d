#include "set_straps.hpp"

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "strapline/dsp/orientation_smoother.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

VectorXd common_grid(const std::vector<StrapSeries>& straps) {
  double from = straps.front().data.t[0], to = from;
  for (const StrapSeries& s : straps) {
    from = std::min(from, s.data.t[0]);
    to = std::max(to, s.data.t[s.data.size() - 1]);
  }
  return uniform_times(from, to, kGridRate);
}

/// Fills the straps, with `still` as what tilts are judged against; returns where each one rested.
std::vector<std::vector<char>> smooth_straps(SetWork& work, const std::optional<Interval>& still) {
  std::optional<double> reference_s;
  if (still) reference_s = 0.5 * (still->from_s + still->to_s);
  std::vector<std::vector<char>> rest;
  work.straps.clear();
  OrientationSmoother smoother;
  for (const StrapSeries& s : work.input.straps) {
    smoother.set_params(params_for(s.errors, work.orientation));
    const OrientationSeries series = smoother.smooth(s.data, reference_s);
    GridMotion motion = on_grid(series, work.t);
    std::vector<char> flags(static_cast<std::size_t>(work.t.size()), 0);
    for (Index i = 0; i < series.t.size(); ++i) {
      flags[static_cast<std::size_t>(nearest_index(work.t, series.t[i]))] =
          series.at_rest[static_cast<std::size_t>(i)];
    }
    rest.push_back(std::move(flags));
    PreparedStrap strap;
    strap.placement = s.placement;
    strap.motion = std::move(motion);
    strap.gyr_bias = series.gyr_bias;
    strap.acc_bias_covariance = series.acc_bias_covariance;
    strap.still_tilt = series.reference_tilt;
    strap.gyr_gain_sd = s.errors.gyr_gain_sd;
    strap.acc_cross_axis_sd = s.errors.acc_cross_axis_sd;
    work.straps.push_back(std::move(strap));
  }
  return rest;
}

}  // namespace

void prepare_straps(SetWork& work) {
  const RecordingParts& given = work.input.parts;
  work.t = common_grid(work.input.straps);
  const auto rest = smooth_straps(work, given.still);
  work.parts = resolve_parts(given, work.t, rest);
  if (work.parts.still) work.budget = budget_for(work.input.body, work.parts.still->length());
  const bool found = work.parts.still && !given.still;
  if (found && !work.input.movement.measures.empty()) smooth_straps(work, work.parts.still);
}

}  // namespace strapline::dsp
