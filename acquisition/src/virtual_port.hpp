#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "strapline/acquisition/byte_stream.hpp"

#include "asio.hpp"

namespace strapline::acquisition {

/// The strap's end of a place where hosts connect, one at a time.
class VirtualPort {
 public:
  using AcceptHandler = std::function<void(std::unique_ptr<ByteStream>)>;

  VirtualPort() = default;
  VirtualPort(const VirtualPort&) = delete;
  VirtualPort& operator=(const VirtualPort&) = delete;
  virtual ~VirtualPort() = default;

  /// Opens it, also again after unplug().
  [[nodiscard]] virtual Result<void> plug_in() = 0;
  /// Nobody can connect any more; a waiting accept is forgotten.
  virtual void unplug() = 0;
  /// Calls the handler once, from the loop, when a host is there. Forget the stream before the next
  /// call.
  virtual void async_accept(AcceptHandler handler) = 0;
  /// What a host opens.
  [[nodiscard]] virtual std::string address() const = 0;
};

[[nodiscard]] std::unique_ptr<VirtualPort> make_virtual_pty(asio::io_context& context,
                                                            const std::string& link_path);
[[nodiscard]] std::unique_ptr<VirtualPort> make_virtual_tcp(asio::io_context& context,
                                                            std::uint16_t port);

}  // namespace strapline::acquisition
