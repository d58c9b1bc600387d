#include "digest.hpp"

#include <algorithm>
#include <bit>
#include <numeric>
#include <vector>

#include <fmt/format.h>

#include "strapline/recordings/recording_file.hpp"

namespace strapline::recordings {

void Digest::add(double value) { add(std::bit_cast<std::uint64_t>(value)); }

std::string Digest::hex() const { return fmt::format("{:016x}", state_); }

std::string set_id(const Recording& recording) {
  std::vector<const StrapRecord*> straps;
  for (const StrapRecord& strap : recording.straps) straps.push_back(&strap);
  // The order in which straps were connected says nothing about the set.
  std::stable_sort(straps.begin(), straps.end(), [](const auto* a, const auto* b) {
    return std::pair(a->placement, a->device_id) < std::pair(b->placement, b->device_id);
  });
  Digest digest;
  digest.add(recording.description.started_utc);
  for (const StrapRecord* strap : straps) {
    digest.add(dsp::to_string(strap->placement));
    digest.add(strap->device_id);
    digest.add(strap->acc_scale);
    digest.add(strap->gyr_scale);
    digest.add(strap->tick_hz);
    for (const std::int64_t tick : strap->tick) digest.add(static_cast<std::uint64_t>(tick));
    const std::int32_t* counts = strap->counts.data();
    for (Eigen::Index i = 0; i < strap->counts.size(); ++i) {
      digest.add(static_cast<std::uint32_t>(counts[i]));
    }
  }
  return digest.hex();
}

}  // namespace strapline::recordings
