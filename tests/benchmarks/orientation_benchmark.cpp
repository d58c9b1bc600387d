#include <vector>

#include "strapline/dsp/orientation_smoother.hpp"

#include "seven_straps.hpp"
#include "yardstick.hpp"

namespace strapline::benchmarks {
namespace {

using dsp::InertialSeries;
using Eigen::Index;

std::vector<dsp::StrapSeries> straps_of(const benchmark::State& state) {
  std::vector<dsp::StrapSeries> straps;
  for (const auto& record : seven_strap_set().straps) {
    if (static_cast<std::int64_t>(straps.size()) < state.range(0)) {
      straps.push_back(recordings::to_series(record));
    }
  }
  return straps;
}

double samples_in(const std::vector<dsp::StrapSeries>& straps) {
  double samples = 0.0;
  for (const auto& strap : straps) samples += static_cast<double>(strap.data.size());
  return samples;
}

/// Sample by sample, as readings arrive, with the orientation read off each time.
void streaming(benchmark::State& state) {
  const auto straps = straps_of(state);
  const PerSample cost(state, samples_in(straps));
  for (auto _ : state) {
    for (const auto& strap : straps) {
      const InertialSeries& data = strap.data;
      dsp::OrientationFilter filter(dsp::params_for(strap.errors));
      for (Index i = 0; i < data.size(); ++i) {
        filter.update(i == 0 ? 0.0 : data.t[i] - data.t[i - 1], data.gyr.col(i), data.acc.col(i));
        benchmark::DoNotOptimize(filter.orientation());
      }
    }
  }
}
BENCHMARK(streaming)->Apply(least_of_nine)->Arg(1)->Arg(7)->Unit(benchmark::kMillisecond);

void smoother(benchmark::State& state) {
  const auto straps = straps_of(state);
  dsp::OrientationSmoother smoother;
  const PerSample cost(state, samples_in(straps));
  for (auto _ : state) {
    for (const auto& strap : straps) {
      smoother.set_params(dsp::params_for(strap.errors));
      benchmark::DoNotOptimize(smoother.smooth(strap.data));
    }
  }
}
BENCHMARK(smoother)->Apply(least_of_nine)->Arg(1)->Arg(7)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace strapline::benchmarks
