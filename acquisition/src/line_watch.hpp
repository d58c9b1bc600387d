#pragma once

#include <array>
#include <functional>
#include <memory>
#include <string>

#include "asio.hpp"

namespace strapline::acquisition {

/// Hands over the lines that arrive at a file descriptor. Waits for readiness and reads what is
/// there: switching a terminal to non-blocking would also hit whoever prints to it.
class LineWatch : public std::enable_shared_from_this<LineWatch> {
 public:
  LineWatch(asio::io_context& context, std::function<void(std::string)> handler);
  /// False where the descriptor cannot be waited for (a plain file, the null device).
  bool start(int file_descriptor);
  void stop();

 private:
  void wait();
  void read_some();
  void hand_over_lines();

  asio::posix::stream_descriptor descriptor_;
  std::function<void(std::string)> handler_;
  std::string pending_;
};

}  // namespace strapline::acquisition
