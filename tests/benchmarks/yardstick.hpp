#pragma once

#include <string>

#include <benchmark/benchmark.h>

namespace strapline::benchmarks {

/// Processor time of one yard on this machine in this run, s: ten quaternion products and ten
/// square roots, each waiting for the one before.
double yardstick_s();

/// Processor time of this thread, s.
double processor_time_s();

/// Nine short runs, and their least beside their mean: what else a machine does only adds to a
/// time, and the yard is the least of twenty, too.
void least_of_nine(benchmark::internal::Benchmark* one);

/// Measures a benchmark's loop and adds what a sample costs, in ns and in yards; or what another
/// thing costs, of which an iteration takes so many.
class PerSample {
 public:
  PerSample(benchmark::State& state, double samples_per_iteration, std::string thing = "sample");
  ~PerSample();
  PerSample(const PerSample&) = delete;
  PerSample& operator=(const PerSample&) = delete;

 private:
  benchmark::State& state_;
  double samples_, begun_s_;
  std::string thing_;
};

}  // namespace strapline::benchmarks
