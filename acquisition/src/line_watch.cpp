#include "line_watch.hpp"

#include <fcntl.h>
#include <unistd.h>

namespace strapline::acquisition {

LineWatch::LineWatch(asio::io_context& context, std::function<void(std::string)> handler)
    : descriptor_(context), handler_(std::move(handler)) {}

bool LineWatch::start(int file_descriptor) {
  const int duplicate = ::fcntl(file_descriptor, F_DUPFD_CLOEXEC, 0);
  if (duplicate < 0) return false;
  ErrorCode error;
  descriptor_.assign(duplicate, error);
  if (error) {
    ::close(duplicate);
    return false;
  }
  wait();
  return true;
}

void LineWatch::stop() {
  ErrorCode ignored;
  descriptor_.close(ignored);
}

void LineWatch::wait() {
  descriptor_.async_wait(asio::posix::stream_descriptor::wait_read,
                         [self = shared_from_this()](ErrorCode error) {
                           if (!error && self->descriptor_.is_open()) self->read_some();
                         });
}

void LineWatch::read_some() {
  std::array<char, 1024> buffer{};
  const auto size = ::read(descriptor_.native_handle(), buffer.data(), buffer.size());
  if (size <= 0) return stop();
  pending_.append(buffer.data(), static_cast<std::size_t>(size));
  hand_over_lines();
  if (descriptor_.is_open()) wait();
}

void LineWatch::hand_over_lines() {
  for (auto end = pending_.find('\n'); end != std::string::npos; end = pending_.find('\n')) {
    std::string line = pending_.substr(0, end);
    pending_.erase(0, end + 1);
    if (!line.empty() && line.back() == '\r') line.pop_back();
    handler_(std::move(line));
  }
}

}  // namespace strapline::acquisition
