#include "strapline/acquisition/serial_ports.hpp"

#include <algorithm>
#include <memory>

#include <libserialport.h>

namespace strapline::acquisition {
namespace {

std::string or_empty(const char* text) { return text == nullptr ? std::string() : text; }

SerialPortInfo describe(const sp_port* port) {
  SerialPortInfo info;
  info.path = or_empty(sp_get_port_name(port));
  info.description = or_empty(sp_get_port_description(port));
  switch (sp_get_port_transport(port)) {
    case SP_TRANSPORT_USB:
      info.transport = "USB";
      break;
    case SP_TRANSPORT_BLUETOOTH:
      info.transport = "Bluetooth";
      break;
    case SP_TRANSPORT_NATIVE:
      info.transport = "native";
      break;
  }
  int vendor = 0;
  int product = 0;
  if (sp_get_port_usb_vid_pid(port, &vendor, &product) == SP_OK) {
    info.usb_vendor_id = vendor;
    info.usb_product_id = product;
  }
  info.usb_serial_number = or_empty(sp_get_port_usb_serial(port));
  return info;
}

}  // namespace

Result<std::vector<SerialPortInfo>> list_serial_ports() {
  sp_port** found = nullptr;
  if (sp_list_ports(&found) != SP_OK) {
    return fail("the serial ports cannot be listed", {}, "give the port's device file instead");
  }
  const std::unique_ptr<sp_port*, decltype(&sp_free_port_list)> list(found, sp_free_port_list);
  std::vector<SerialPortInfo> ports;
  for (sp_port** port = found; *port != nullptr; ++port) ports.push_back(describe(*port));
  std::sort(ports.begin(), ports.end(),
            [](const auto& a, const auto& b) { return a.path < b.path; });
  return ports;
}

}  // namespace strapline::acquisition
