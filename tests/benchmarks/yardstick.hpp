#pragma once

#include <benchmark/benchmark.h>

namespace strapline::benchmarks {

/// Processor time of one yard on this machine in this run, s: ten quaternion products and ten
/// square roots, each waiting for the one before.
double yardstick_s();

/// Processor time of this thread, s.
double processor_time_s();

/// Measures a benchmark's loop and adds what a sample costs, in ns and in yards.
class PerSample {
 public:
  PerSample(benchmark::State& state, double samples_per_iteration);
  ~PerSample();
  PerSample(const PerSample&) = delete;
  PerSample& operator=(const PerSample&) = delete;

 private:
  benchmark::State& state_;
  double samples_, begun_s_;
};

}  // namespace strapline::benchmarks
