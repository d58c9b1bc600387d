#pragma once

#include <array>
#include <deque>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "strapline/acquisition/byte_stream.hpp"

#include "asio.hpp"

namespace strapline::acquisition {

/// A ByteStream over any Asio stream (socket, serial port, file descriptor). The pending
/// operations share the core, so that the stream may be destroyed while they are under way.
template <class Socket>
class AsioStream : public ByteStream {
 public:
  /// `keeper` is kept until the stream closes (whatever else holds the port).
  AsioStream(Socket socket, std::string description, std::shared_ptr<void> keeper = {})
      : core_(
            std::make_shared<Core>(std::move(socket), std::move(description), std::move(keeper))) {}
  ~AsioStream() override { core_->close(); }

  void async_read(ReadHandler handler) override { core_->read(std::move(handler)); }
  void async_write(std::vector<std::uint8_t> bytes, WriteHandler handler) override {
    core_->enqueue({std::move(bytes), std::move(handler)});
  }
  void close() override { core_->close(); }
  [[nodiscard]] std::string description() const override { return core_->description; }

 private:
  struct Outgoing {
    std::vector<std::uint8_t> bytes;
    WriteHandler handler;
  };

  struct Core : std::enable_shared_from_this<Core> {
    Core(Socket s, std::string text, std::shared_ptr<void> k)
        : socket(std::move(s)), description(std::move(text)), keeper(std::move(k)) {}

    void read(ReadHandler handler) {
      socket.async_read_some(asio::buffer(incoming),
                             [self = this->shared_from_this(), handler = std::move(handler)](
                                 ErrorCode error, std::size_t size) {
                               if (self->closed) return;
                               if (error) return handler(self->failure(error));
                               handler(std::span<const std::uint8_t>(self->incoming.data(), size));
                             });
    }

    void enqueue(Outgoing message) {
      if (closed) return;
      outgoing.push_back(std::move(message));
      if (outgoing.size() == 1) write_first();
    }

    void write_first() {
      asio::async_write(socket, asio::buffer(outgoing.front().bytes),
                        [self = this->shared_from_this()](ErrorCode error, std::size_t) {
                          if (!self->closed) self->written(error);
                        });
    }

    void written(ErrorCode error) {
      const auto self = this->shared_from_this();  // the handler may destroy the stream
      const WriteHandler handler = std::move(outgoing.front().handler);
      outgoing.pop_front();
      if (!outgoing.empty()) write_first();
      if (handler) handler(error ? Result<void>(failure(error)) : Result<void>());
    }

    void close() {
      if (std::exchange(closed, true)) return;
      ErrorCode ignored;  // nothing is left to do when closing fails
      socket.close(ignored);
      keeper.reset();
    }

    // Bytes end with "end of file" on TCP and with EIO where a pseudo-terminal or a USB port went.
    [[nodiscard]] tl::unexpected<Failure> failure(ErrorCode error) const {
      const bool gone = error == asio::error::eof || error == asio::error::connection_reset ||
                        error == asio::error::broken_pipe || error.value() == EIO ||
                        error.value() == ENXIO || error.value() == ENODEV;
      return fail(gone ? "the link was closed by the other side" : error.message(), description);
    }

    Socket socket;
    std::string description;
    std::shared_ptr<void> keeper;
    bool closed = false;
    std::array<std::uint8_t, 4096> incoming{};
    std::deque<Outgoing> outgoing;
  };

  std::shared_ptr<Core> core_;
};

}  // namespace strapline::acquisition
