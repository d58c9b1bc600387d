#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/acquisition/address.hpp"
#include "strapline/firmware_protocol/messages.hpp"

namespace strapline::cli {

/// What answered at an address.
struct ProbeResult {
  acquisition::Address address;
  std::optional<firmware_protocol::Identity> identity;  ///< unset: no strap
  std::optional<int> battery_percent;
  std::string why_not;  ///< one line, where there is no identity
};

/// Asks at all addresses at once who is there, and waits at most `timeout_s`. Writes a few bytes
/// to each.
[[nodiscard]] std::vector<ProbeResult> probe(const std::vector<acquisition::Address>& addresses,
                                             double timeout_s);

}  // namespace strapline::cli
