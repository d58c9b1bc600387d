#pragma once

#include <cstdint>
#include <optional>
#include <random>

#include <Eigen/Core>

namespace strapline::recordings::synthetic {

/// Random numbers that are the same with every standard library: the engine is fixed by the C++
/// standard, the mapping to reals is written out here (the standard leaves its distributions open).
class Random {
 public:
  /// One seed gives many independent streams (one per strap, one for the reps, ...).
  explicit Random(std::uint64_t seed, std::uint64_t stream = 0);

  /// Uniform in [0, 1), 53 bits.
  double uniform();
  double uniform(double from, double to) { return from + (to - from) * uniform(); }
  /// Standard normal, by Box & Muller (1958), doi 10.1214/aoms/1177706645.
  double normal();
  double normal(double mean, double sd) { return mean + sd * normal(); }
  /// Normal, drawn again until within `limit` standard deviations.
  double normal_within(double mean, double sd, double limit);
  /// Integer, both ends included.
  int integer(int from, int to);
  /// Uniform on the unit sphere.
  Eigen::Vector3d direction();

 private:
  std::mt19937_64 engine_;
  std::optional<double> spare_;
};

}  // namespace strapline::recordings::synthetic
