#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/acquisition/failure.hpp"

namespace strapline::acquisition {

/// A serial port that is attached to this machine.
struct SerialPortInfo {
  std::string path;                   ///< "/dev/ttyACM0": what to give as address
  std::string description;            ///< as the system describes it; may be empty
  std::string transport;              ///< "native", "USB" or "Bluetooth"
  std::optional<int> usb_vendor_id;   ///< 16 bits
  std::optional<int> usb_product_id;  ///< 16 bits
  std::string usb_serial_number;      ///< may be empty
};

/// The ports that libserialport finds, sorted by path; empty when none is attached. Pseudo-
/// terminals are not listed.
[[nodiscard]] Result<std::vector<SerialPortInfo>> list_serial_ports();

}  // namespace strapline::acquisition
