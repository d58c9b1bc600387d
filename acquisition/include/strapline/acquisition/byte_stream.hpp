#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "strapline/acquisition/address.hpp"
#include "strapline/acquisition/failure.hpp"

namespace strapline::acquisition {

/// A two-way stream of bytes to one strap, whatever carries it. Used from the event loop only.
/// Handlers are called from the loop, never from inside the call that takes them, and never after
/// close() or the destructor.
class ByteStream {
 public:
  /// At least one byte, valid during the call; or why nothing more will come (the stream is then
  /// at its end: close it).
  using ReadHandler = std::function<void(Result<std::span<const std::uint8_t>>)>;
  /// Called once the bytes were handed over, or with the reason why they were not.
  using WriteHandler = std::function<void(Result<void>)>;

  ByteStream() = default;
  ByteStream(const ByteStream&) = delete;
  ByteStream& operator=(const ByteStream&) = delete;
  virtual ~ByteStream() = default;

  /// Waits for bytes. One read may be outstanding.
  virtual void async_read(ReadHandler handler) = 0;
  /// Queues bytes; writes are carried out in the order of the calls.
  virtual void async_write(std::vector<std::uint8_t> bytes, WriteHandler handler) = 0;
  /// Drops what is queued and frees the port. Closing twice does nothing.
  virtual void close() = 0;
  /// For messages: "/dev/ttyACM0", "tcp:bridge:7000".
  [[nodiscard]] virtual std::string description() const = 0;
};

/// Opens byte streams by address.
class LinkOpener {
 public:
  using OpenHandler = std::function<void(Result<std::unique_ptr<ByteStream>>)>;

  LinkOpener() = default;
  LinkOpener(const LinkOpener&) = delete;
  LinkOpener& operator=(const LinkOpener&) = delete;
  virtual ~LinkOpener() = default;

  /// Calls the handler from the loop with the open stream, or with one clear line: the port is
  /// missing, in use or not allowed; the host is not found; the connection is refused; nobody
  /// answered within `timeout_ns` of the host clock.
  virtual void async_open(const Address& address, std::int64_t timeout_ns, OpenHandler handler) = 0;
};

}  // namespace strapline::acquisition
