#pragma once

#include <chrono>

#include "strapline/acquisition/byte_stream.hpp"

#include "asio.hpp"

namespace strapline::acquisition {

/// Connects to a TCP bridge within the time-out, without waiting to fill packets (Nagle off).
void open_tcp(asio::io_context& context, const Address& address, std::chrono::nanoseconds timeout,
              LinkOpener::OpenHandler handler);

}  // namespace strapline::acquisition
