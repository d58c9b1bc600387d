#include "strapline/recordings/synthetic/random.hpp"

#include <cmath>
#include <numbers>

namespace strapline::recordings::synthetic {
namespace {

/// Spreads neighbouring seeds over all 64 bits (the finaliser of Steele et al. 2014,
/// doi 10.1145/2714064.2660195), so that seed 1 and seed 2 share nothing.
std::uint64_t spread(std::uint64_t x) {
  x += 0x9E3779B97F4A7C15ULL;
  x = (x ^ (x >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  x = (x ^ (x >> 27U)) * 0x94D049BB133111EBULL;
  return x ^ (x >> 31U);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) : engine_(spread(seed ^ spread(stream))) {}

double Random::uniform() {
  constexpr double kStep = 1.0 / 9007199254740992.0;  // 2^-53
  return static_cast<double>(engine_() >> 11U) * kStep;
}

double Random::normal() {
  if (spare_) {
    const double value = *spare_;
    spare_.reset();
    return value;
  }
  const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
  const double angle = 2.0 * std::numbers::pi * uniform();
  spare_ = radius * std::sin(angle);
  return radius * std::cos(angle);
}

double Random::normal_within(double mean, double sd, double limit) {
  double z = normal();
  while (std::abs(z) > limit) z = normal();
  return mean + sd * z;
}

int Random::integer(int from, int to) {
  return from + static_cast<int>(std::floor(uniform() * (to - from + 1)));
}

Eigen::Vector3d Random::direction() {
  const double y = uniform(-1.0, 1.0);
  const double angle = uniform(0.0, 2.0 * std::numbers::pi);
  const double r = std::sqrt(1.0 - y * y);
  return {r * std::cos(angle), y, r * std::sin(angle)};
}

}  // namespace strapline::recordings::synthetic
