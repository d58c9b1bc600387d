#include "strapline/recordings/recording.hpp"

#include <cmath>
#include <cstdlib>

#include "strapline/dsp/stuck_readings.hpp"

namespace strapline::recordings {
namespace {

constexpr double kGapPeriods = 1.5;

bool any_at_end(const Counts& counts, Eigen::Index first_row, Eigen::Index sample,
                std::int32_t full_scale) {
  for (Eigen::Index row = first_row; row < first_row + 3; ++row) {
    // 64 bits: the size of the most negative count does not fit in 32.
    if (std::abs(static_cast<std::int64_t>(counts(row, sample))) >= full_scale) return true;
  }
  return false;
}

std::uint8_t flag_of(const StrapRecord& strap, Eigen::Index i) {
  unsigned flag = dsp::kSampleGood;
  if (strap.full_scale_count > 0) {
    if (any_at_end(strap.counts, 0, i, strap.full_scale_count))
      flag |= dsp::kAccelerometerSaturated;
    if (any_at_end(strap.counts, 3, i, strap.full_scale_count)) flag |= dsp::kGyroscopeSaturated;
  }
  const bool gap =
      i > 0 && strap.rate_hz > 0.0 && (strap.t[i] - strap.t[i - 1]) * strap.rate_hz > kGapPeriods;
  if (gap) flag |= dsp::kAfterGap;
  return static_cast<std::uint8_t>(flag);
}

}  // namespace

dsp::StrapSeries to_series(const StrapRecord& strap) {
  dsp::StrapSeries series;
  series.placement = strap.placement;
  series.errors = strap.errors;
  series.data.t = strap.t;
  series.data.acc = strap.counts.topRows<3>().cast<double>() * strap.acc_scale;
  series.data.gyr = strap.counts.bottomRows<3>().cast<double>() * strap.gyr_scale;
  series.data.flags.resize(static_cast<std::size_t>(strap.t.size()));
  if (strap.calibration) {
    dsp::apply(strap.calibration->values, series.data);
    series.errors = dsp::narrowed(strap.errors, strap.calibration->values);
  }
  for (Eigen::Index i = 0; i < strap.t.size(); ++i) {
    series.data.flags[static_cast<std::size_t>(i)] = flag_of(strap, i);
  }
  series.stuck = dsp::remove_stuck_readings(series.data);
  return series;
}

}  // namespace strapline::recordings
