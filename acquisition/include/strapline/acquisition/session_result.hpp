#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "strapline/acquisition/clock.hpp"
#include "strapline/acquisition/failure.hpp"
#include "strapline/acquisition/journal.hpp"
#include "strapline/firmware_protocol/messages.hpp"

namespace strapline::acquisition {

/// What the link to one strap did. Nothing is dropped without being counted here.
struct LinkStatistics {
  std::uint64_t batches = 0;           ///< different batches received
  std::uint64_t lost = 0;              ///< batches between start and stop that never came
  std::uint64_t resent = 0;            ///< of `batches`: came only when asked for again
  std::uint64_t late = 0;              ///< of `batches`: came unasked after a later one
  std::uint64_t duplicates = 0;        ///< came again, ignored
  std::uint64_t foreign = 0;           ///< of an earlier stream or of other settings, ignored
  std::uint64_t corrupt = 0;           ///< frames whose check failed, or too long
  std::uint64_t device_dropped = 0;    ///< samples that the strap itself had to drop
  std::uint64_t device_saturated = 0;  ///< samples with a count at full scale
  std::uint64_t reconnects = 0;        ///< links opened again after the first
  std::uint64_t restarts = 0;          ///< the strap began anew within the session
};

/// One strap's readings, in order, as received.
struct StrapResult {
  std::string label;    ///< the caller's, say the placement
  std::string address;  ///< Address::text()
  bool identified = false;
  firmware_protocol::Identity identity;  ///< scales, tick rate, part; valid where identified
  double rate_hz = 0.0;                  ///< true sample rate by the device's clock
  /// n, device ticks, strictly increasing. Where the strap restarted, ticks go on as if its counter
  /// had not (to within the clock's uncertainty).
  std::vector<std::int64_t> ticks;
  std::vector<firmware_protocol::SampleCounts> counts;  ///< n, ax ay az gx gy gz
  ClockFit clock;                                       ///< common time of any of the ticks
  LinkStatistics link;
};

/// A text that the caller put at a moment: where a part begins or ends.
struct PartMark {
  double t_s = 0.0;  ///< common time
  std::string text;
};

struct SessionResult {
  std::string metadata;             ///< as given when the journal was created
  std::int64_t origin_host_ns = 0;  ///< host time at common time 0
  std::vector<StrapResult> straps;  ///< by strap index
  std::vector<PartMark> marks;
  bool ended = false;             ///< false: the recording process was killed
  std::size_t torn_bytes = 0;     ///< see Journal
  std::size_t damaged_bytes = 0;  ///< see Journal
};

/// Puts together what a journal holds, finished or not. Live sessions end with this too: there is
/// no other way from frames to readings.
[[nodiscard]] SessionResult assemble(const Journal& journal);

/// read_journal() and assemble().
[[nodiscard]] Result<SessionResult> assemble_from_journal(const std::string& path);

}  // namespace strapline::acquisition
