#include <cmath>
#include <cstdlib>
#include <iostream>

#include "strapline/cli/analysis.hpp"
#include "strapline/dsp/repetition.hpp"
#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/time_grid.hpp"
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

/// Hours of recording per second on one core.
void set_hours_per_second(benchmark::State& state, double seconds) {
  state.counters["hours_per_second"] =
      benchmark::Counter(seconds / 3600.0, benchmark::Counter::kIsIterationInvariantRate);
}

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
  set_hours_per_second(state, seconds);
}
BENCHMARK(whole_analysis)->Apply(least_of_nine)->Unit(benchmark::kMillisecond);

/// A set's range angle, ten minutes of it: what a rep takes, over and over.
struct LongAngle {
  Eigen::VectorXd t = dsp::uniform_times(0.0, 600.0, 100.0);
  Eigen::VectorXd angle = (0.8 - 0.8 * (t.array() * 2.0 * 3.141592653589793 / 4.0).cos()).matrix();
};

/// Reps and their borders from a range angle, nothing else.
void segmentation_alone(benchmark::State& state) {
  const LongAngle made;
  for (auto _ : state) {
    benchmark::DoNotOptimize(dsp::find_excursions(made.t, made.angle, 0.0, {0.0, 600.0}, {}));
  }
  set_hours_per_second(state, 600.0);
}
BENCHMARK(segmentation_alone)->Unit(benchmark::kMillisecond);

/// Reps of one strap of which nothing is known, from its features.
void repetitions_alone(benchmark::State& state) {
  const LongAngle made;
  dsp::MotionFeatures features;
  features.value = Eigen::Matrix<double, 5, Eigen::Dynamic>::Zero(5, 1200);
  for (Eigen::Index i = 0; i < 1200; ++i) {
    features.value(0, i) = std::sin(made.angle[10 * i]);
    features.value(1, i) = std::cos(made.angle[10 * i]);
  }
  for (auto _ : state) benchmark::DoNotOptimize(dsp::find_repetitions(features));
  set_hours_per_second(state, 120.0);
}
BENCHMARK(repetitions_alone)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace strapline::benchmarks
