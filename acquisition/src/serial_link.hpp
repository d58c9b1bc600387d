#pragma once

#include <memory>
#include <string>

#include "strapline/acquisition/byte_stream.hpp"

#include "asio.hpp"

namespace strapline::acquisition {

/// Opens a serial port for this process alone: 115200 baud, 8N1, no flow control (USB and
/// pseudo-terminals ignore the rate).
[[nodiscard]] Result<std::unique_ptr<ByteStream>> open_serial(asio::io_context& context,
                                                              const std::string& path);

}  // namespace strapline::acquisition
