#include <cstdlib>
#include <iostream>

#include "strapline/cli/analysis.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

#include "seven_straps.hpp"
#include "yardstick.hpp"

namespace strapline::benchmarks {

const recordings::Recording& seven_strap_set() {
  namespace synthetic = recordings::synthetic;
  static const recordings::Recording recording = [] {
    synthetic::StrapSetup setup;
    setup.placements.push_back({dsp::Segment::upper_back, dsp::Side::middle});
    setup.rate_hz = 200.0;
    setup.rate_error = 0.0;
    synthetic::SquatSetParams params;
    params.reps = 8;
    auto made = synthetic::synthesize(params, setup);
    if (!made) {
      std::cerr << made.error().what << '\n';
      std::exit(1);
    }
    return std::move(*made);
  }();
  return recording;
}

namespace {

/// From readings to reps and measures, all seven straps on one core.
void whole_analysis(benchmark::State& state) {
  const recordings::Recording& recording = seven_strap_set();
  double samples = 0.0;
  double seconds = 0.0;
  for (const auto& strap : recording.straps) {
    const auto series = recordings::to_series(strap).data;
    samples += static_cast<double>(series.size());
    seconds = series.t[series.size() - 1] - series.t[0];
  }
  const PerSample cost(state, samples);
  for (auto _ : state) benchmark::DoNotOptimize(cli::analyse(recording));
  state.counters["seconds_recorded"] = seconds;
}
BENCHMARK(whole_analysis)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace strapline::benchmarks
