#include "strap_record.hpp"

#include <algorithm>
#include <cmath>

namespace strapline::recordings::synthetic {
namespace {

using dsp::Segment;
using dsp::Side;

constexpr double kMostCount = 32767.0;

/// Three axes of one kind (accelerometer or gyroscope) with their errors.
struct Triad {
  Eigen::Matrix3d gain = Eigen::Matrix3d::Identity();
  Eigen::Vector3d bias = Eigen::Vector3d::Zero();  ///< walks from sample to sample
  double noise = 0.0;                              ///< per sample, 1 sigma
  double walk = 0.0;                               ///< per sample, 1 sigma
  double scale = 1.0;                              ///< per count
};

Triad draw_triad(Random& random, double bias_sd, double scale_sd, double cross_sd) {
  Triad triad;
  for (int i = 0; i < 3; ++i) {
    triad.bias[i] = random.normal(0.0, bias_sd);
    for (int j = 0; j < 3; ++j)
      triad.gain(i, j) += random.normal(0.0, i == j ? scale_sd : cross_sd);
  }
  return triad;
}

/// Its own stream: the other errors stay as they were drawn before a part had this one.
Eigen::Matrix3d draw_force_sensitivity(std::uint64_t seed, std::uint64_t stream, double sd) {
  constexpr std::uint64_t kAfterAll = 1000;
  Random random(seed, kAfterAll + stream);
  Eigen::Matrix3d rate_per_force;
  for (double& entry : rate_per_force.reshaped()) entry = random.normal(0.0, sd);
  return rate_per_force;
}

void read(Triad& triad, const Eigen::Vector3d& truth, Random& random, std::int32_t* counts) {
  const Eigen::Vector3d ideal = triad.gain * truth;
  for (int i = 0; i < 3; ++i) {
    const double reading = ideal[i] + triad.bias[i] + triad.noise * random.normal();
    triad.bias[i] += triad.walk * random.normal();
    const double count = std::round(reading / triad.scale);
    counts[i] = static_cast<std::int32_t>(std::clamp(count, -kMostCount - 1.0, kMostCount));
  }
}

/// The strap's stream depends on where it sits, not on which others are worn.
std::uint64_t stream_of(dsp::Placement placement) {
  constexpr std::uint64_t kFirst = 100;
  return kFirst + 4 * static_cast<std::uint64_t>(placement.segment) +
         static_cast<std::uint64_t>(placement.side);
}

struct Sensor {
  Triad acc, gyr;
  Eigen::Matrix3d rate_per_force = Eigen::Matrix3d::Zero();  ///< rad/s per m/s²
  double rate_hz = 0.0, start_s = 0.0;
};

Sensor draw_sensor(const StrapSetup& setup, const SensorPart& part, Random& random) {
  Sensor sensor;
  sensor.acc = draw_triad(random, part.acc_bias_sd, part.acc_scale_sd, part.cross_axis_sd);
  sensor.gyr = draw_triad(random, part.gyr_bias_sd, part.gyr_scale_sd, part.cross_axis_sd);
  sensor.rate_hz = setup.rate_hz * (1.0 + random.uniform(-setup.rate_error, setup.rate_error));
  sensor.start_s = random.uniform(0.0, 0.05);
  // One-sided density over half the rate; a walk grows with the root of time.
  sensor.acc.noise = part.acc_noise_density * std::sqrt(0.5 * sensor.rate_hz);
  sensor.gyr.noise = part.gyr_noise_density * std::sqrt(0.5 * sensor.rate_hz);
  sensor.acc.walk = part.acc_walk / std::sqrt(sensor.rate_hz);
  sensor.gyr.walk = part.gyr_walk / std::sqrt(sensor.rate_hz);
  sensor.acc.scale = part.acc_scale;
  sensor.gyr.scale = part.gyr_scale;
  return sensor;
}

/// The device's clock: tick = tick_hz·(1 + skew)·(t + offset).
struct DeviceClock {
  double offset = 0.0, skew_ppm = 0.0, ticks_per_s = 0.0, fit_error = 0.0;
};

DeviceClock draw_clock(const StrapSetup& setup, Random& random) {
  DeviceClock clock;
  clock.offset = random.uniform(0.0, setup.max_clock_offset);
  clock.skew_ppm = random.uniform(-setup.max_skew_ppm, setup.max_skew_ppm);
  clock.ticks_per_s = setup.tick_hz * (1.0 + 1e-6 * clock.skew_ppm);
  clock.fit_error = random.normal(0.0, setup.clock_u);
  return clock;
}

void describe(StrapRecord& record, dsp::Placement placement, const StrapSetup& setup,
              const SensorPart& part) {
  record.placement = placement;
  record.device_id = 0x5354000000000000ULL + (setup.seed << 8U) + stream_of(placement);
  record.firmware_version = 1;
  record.rate_hz = setup.rate_hz;
  record.tick_hz = setup.tick_hz;
  record.acc_scale = part.acc_scale;
  record.gyr_scale = part.gyr_scale;
  record.full_scale_count = static_cast<std::int32_t>(kMostCount);
  record.part_name = part.name;
  record.errors = errors_of(part);
}

void sample(const BodyMotion& motion, const StrapMount& mount, Sensor& sensor,
            const DeviceClock& clock, Random& random, StrapRecord& record) {
  const auto n = static_cast<Eigen::Index>((motion.end_s() - sensor.start_s) * sensor.rate_hz);
  record.counts.resize(6, n);
  record.t.resize(n);
  record.tick.resize(static_cast<std::size_t>(n));
  for (Eigen::Index i = 0; i < n; ++i) {
    const double t = sensor.start_s + static_cast<double>(i) / sensor.rate_hz;
    const StrapState state = strap_state(motion, mount, t);
    read(sensor.acc, state.specific_force, random, &record.counts(0, i));
    const Eigen::Vector3d rate = state.angular_rate + sensor.rate_per_force * state.specific_force;
    read(sensor.gyr, rate, random, &record.counts(3, i));
    const auto tick = std::llround(clock.ticks_per_s * (t + clock.offset));
    record.tick[static_cast<std::size_t>(i)] = tick;
    record.t[i] = record.clock.offset_s + static_cast<double>(tick) * record.clock.seconds_per_tick;
  }
}

}  // namespace

SyntheticStrap record_strap(const BodyMotion& motion, dsp::Placement placement,
                            const StrapSetup& setup, const SensorPart& part, bool worn) {
  Random random(setup.seed, stream_of(placement));
  SyntheticStrap strap;
  strap.mount = draw_mount(motion, placement, setup, random);
  if (!worn) strap.mount.segment_from_sensor.setIdentity();
  Sensor sensor = draw_sensor(setup, part, random);
  sensor.rate_per_force =
      draw_force_sensitivity(setup.seed, stream_of(placement), part.gyr_force_sd);
  const DeviceClock clock = draw_clock(setup, random);
  describe(strap.record, placement, setup, part);
  strap.record.clock = {clock.fit_error - clock.offset, 1.0 / clock.ticks_per_s, setup.clock_u,
                        clock.skew_ppm};
  strap.truth = {placement,         strap.mount.segment_from_sensor,
                 strap.mount.lever, strap.mount.tilt,
                 strap.mount.twist, sensor.acc.bias,
                 sensor.gyr.bias,   sensor.acc.gain,
                 sensor.gyr.gain,   sensor.rate_hz,
                 clock.skew_ppm,    clock.fit_error};
  sample(motion, strap.mount, sensor, clock, random, strap.record);
  return strap;
}

}  // namespace strapline::recordings::synthetic
