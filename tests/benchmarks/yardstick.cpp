#include "yardstick.hpp"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <vector>

#include <Eigen/Geometry>

namespace strapline::benchmarks {
namespace {

Eigen::Quaterniond one_yard(Eigen::Quaterniond q, const Eigen::Quaterniond& turn) {
  for (int i = 0; i < 10; ++i) {
    q = q * turn;
    q.w() = std::sqrt(q.w() * q.w() + 1e-12);
  }
  return q;
}

double measure_yardstick() {
  constexpr int kYards = 20000;
  const Eigen::Quaterniond turn(Eigen::AngleAxisd(0.01, Eigen::Vector3d::UnitX()));
  double best = 1e9;
  for (int round = 0; round < 20; ++round) {
    Eigen::Quaterniond q = Eigen::Quaterniond::Identity();
    const double begun = processor_time_s();
    for (int i = 0; i < kYards; ++i) q = one_yard(q, turn).normalized();
    best = std::min(best, processor_time_s() - begun);
    benchmark::DoNotOptimize(q);
  }
  return best / kYards;
}

void yardstick(benchmark::State& state) {
  const Eigen::Quaterniond turn(Eigen::AngleAxisd(0.01, Eigen::Vector3d::UnitX()));
  Eigen::Quaterniond q = Eigen::Quaterniond::Identity();
  for (auto _ : state) {
    q = one_yard(q, turn).normalized();
    benchmark::DoNotOptimize(q);
  }
}
BENCHMARK(yardstick)->Apply(least_of_nine);

}  // namespace

double processor_time_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double yardstick_s() {
  static const double length = measure_yardstick();
  return length;
}

void least_of_nine(benchmark::internal::Benchmark* one) {
  one->Repetitions(9)->MinTime(0.1)->ReportAggregatesOnly()->ComputeStatistics(
      "least",
      [](const std::vector<double>& runs) { return *std::min_element(runs.begin(), runs.end()); });
}

PerSample::PerSample(benchmark::State& state, double samples_per_iteration, std::string thing)
    : state_(state), samples_(samples_per_iteration), thing_(std::move(thing)) {
  yardstick_s();
  begun_s_ = processor_time_s();
}

PerSample::~PerSample() {
  const double spent = processor_time_s() - begun_s_;
  const double per_sample = spent / (static_cast<double>(state_.iterations()) * samples_);
  state_.counters["ns_per_" + thing_] = 1e9 * per_sample;
  state_.counters["yards_per_" + thing_] = per_sample / yardstick_s();
}

}  // namespace strapline::benchmarks
