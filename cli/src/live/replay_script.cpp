#include "replay_script.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <map>
#include <set>

#include <fmt/format.h>

namespace strapline::cli {
namespace {

namespace fp = firmware_protocol;
using recordings::StrapRecord;

constexpr double kPico = 1e-12;
constexpr double kMostCount = 32767.0;

/// How three rows of counts are told on the wire: count · factor, in units of scale_pico.
struct WireScale {
  std::uint64_t scale_pico = 0;
  double factor = 1.0;  ///< 1: as they are
};

WireScale wire_scale(const StrapRecord& strap, Eigen::Index first_row, double scale) {
  const double most = strap.counts.middleRows(first_row, 3).cast<double>().cwiseAbs().maxCoeff();
  const double pico = scale / kPico;
  const double whole = std::round(pico);
  constexpr double kSameScale = 1e-6;
  // −32768 is a count of 16 bits too, +32768 is not.
  const double limit =
      strap.counts.middleRows(first_row, 3).maxCoeff() > INT16_MAX ? kMostCount : 32768.0;
  if (most <= limit && whole >= 1.0 && std::abs(pico / whole - 1.0) <= kSameScale) {
    return {static_cast<std::uint64_t>(whole), 1.0};
  }
  const double coarser = std::max(1.0, std::ceil(pico * most / kMostCount));
  return {static_cast<std::uint64_t>(coarser), pico / coarser};
}

void take_counts(const StrapRecord& strap, const WireScale& acc, const WireScale& gyr,
                 acquisition::StrapScript& script) {
  for (Eigen::Index i = 0; i < strap.counts.cols(); ++i) {
    fp::SampleCounts counts{};
    for (std::size_t axis = 0; axis < counts.size(); ++axis) {
      const double factor = axis < 3 ? acc.factor : gyr.factor;
      const double count = factor * strap.counts(static_cast<Eigen::Index>(axis), i);
      counts[axis] = static_cast<std::int16_t>(std::lround(count));
    }
    script.counts.push_back(counts);
  }
}

/// A clock that a strap can have: whole ticks per second, fine enough, near its nominal rate.
bool is_device_clock(const StrapRecord& strap) {
  constexpr double kCoarsest_hz = 1e4;
  constexpr double kMostSkew = 1e-3;
  const double hz = strap.tick_hz;
  return hz >= kCoarsest_hz && hz <= std::numeric_limits<std::uint32_t>::max() &&
         hz == std::round(hz) && strap.clock.seconds_per_tick > 0.0 &&
         std::abs(strap.clock.seconds_per_tick * hz - 1.0) <= kMostSkew;
}

/// Gives false where the times had to be put on another clock.
bool take_times(const StrapRecord& strap, acquisition::StrapScript& script) {
  if (is_device_clock(strap)) {
    script.identity.tick_hz = static_cast<std::uint32_t>(strap.tick_hz);
    script.ticks = strap.tick;
    script.offset_s = strap.clock.offset_s;
    script.seconds_per_tick = strap.clock.seconds_per_tick;
    return true;
  }
  constexpr double kTick_hz = 1e6;
  script.identity.tick_hz = static_cast<std::uint32_t>(kTick_hz);
  script.offset_s = strap.t[0];
  script.seconds_per_tick = 1.0 / kTick_hz;
  for (const double t : strap.t) script.ticks.push_back(std::llround((t - strap.t[0]) * kTick_hz));
  return false;
}

fp::Identity identity_of(const StrapRecord& strap, std::uint64_t device_id) {
  fp::Identity identity;
  identity.device_id = device_id;
  identity.firmware_version = strap.firmware_version;
  constexpr std::uint32_t kRateParts = 1'000'000;
  identity.rate = {static_cast<std::uint32_t>(std::llround(strap.rate_hz * kRateParts)),
                   kRateParts};
  const bool fits = strap.full_scale_count > 0 && strap.full_scale_count <= INT16_MAX + 1;
  identity.full_scale_count = fits ? static_cast<std::uint16_t>(strap.full_scale_count) : 0;
  identity.part_name.length =
      static_cast<std::uint8_t>(std::min(strap.part_name.size(), identity.part_name.text.size()));
  std::memcpy(identity.part_name.text.data(), strap.part_name.data(), identity.part_name.length);
  return identity;
}

}  // namespace

ReplayScript to_script(const recordings::Recording& recording) {
  ReplayScript replay;
  std::map<std::string, int> named;
  std::set<std::uint64_t> ids;
  for (const StrapRecord& strap : recording.straps) {
    acquisition::StrapScript script;
    script.name = dsp::to_string(strap.placement);
    if (const int nth = ++named[script.name]; nth > 1) script.name += fmt::format("_{}", nth);
    // Imported straps have no id, and two straps must not share one.
    std::uint64_t id = std::max<std::uint64_t>(strap.device_id, 1);
    while (!ids.insert(id).second) ++id;
    script.identity = identity_of(strap, id);
    const WireScale acc = wire_scale(strap, 0, strap.acc_scale);
    const WireScale gyr = wire_scale(strap, 3, strap.gyr_scale);
    script.identity.acc_scale_pico = acc.scale_pico;
    script.identity.gyr_scale_pico = gyr.scale_pico;
    if (acc.factor != 1.0 || gyr.factor != 1.0) {
      script.identity.full_scale_count = 0;
      replay.notes.push_back(
          fmt::format("{}: rescaled to 16-bit counts of {:.4g} m/s2 and {:.4g} rad/s", script.name,
                      kPico * static_cast<double>(acc.scale_pico),
                      kPico * static_cast<double>(gyr.scale_pico)));
    }
    take_counts(strap, acc, gyr, script);
    if (!take_times(strap, script)) {
      replay.notes.push_back(script.name + ": its times are played on a clock of 1 MHz");
    }
    replay.straps.push_back(std::move(script));
  }
  return replay;
}

}  // namespace strapline::cli
