#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "strapline/acquisition/failure.hpp"

namespace strapline::acquisition {

/// Where a strap is found: a serial port ("/dev/ttyACM0") or a TCP bridge ("tcp:host:port",
/// an IPv6 host in brackets: "tcp:[::1]:7000").
struct Address {
  enum class Kind : std::uint8_t { kSerial, kTcp };
  Kind kind = Kind::kSerial;
  std::string path;        ///< serial: the device file
  std::string host;        ///< TCP: name or number, without brackets
  std::uint16_t port = 0;  ///< TCP: 1–65535

  /// The address as it is written; parse_address(text()) gives the same address back.
  [[nodiscard]] std::string text() const;
  bool operator==(const Address&) const = default;
};

/// Fails with one line when the text is empty, the host is missing or the port is no number in
/// 1–65535.
[[nodiscard]] Result<Address> parse_address(std::string_view text);

}  // namespace strapline::acquisition
