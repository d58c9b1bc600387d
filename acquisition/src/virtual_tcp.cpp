#include <utility>

#include "asio_stream.hpp"
#include "virtual_port.hpp"

namespace strapline::acquisition {
namespace {

using asio::ip::tcp;

constexpr int kLinkBufferBytes = 32 * 1024;

class VirtualTcp : public VirtualPort {
 public:
  VirtualTcp(asio::io_context& context, std::uint16_t port)
      : acceptor_(context), endpoint_(asio::ip::address_v4::loopback(), port) {}

  Result<void> plug_in() override {
    ErrorCode error;
    acceptor_.open(endpoint_.protocol(), error);
    if (!error) acceptor_.set_option(tcp::acceptor::reuse_address(true), error);
    if (!error) acceptor_.bind(endpoint_, error);
    if (!error) acceptor_.listen(1, error);
    if (!error) endpoint_ = acceptor_.local_endpoint(error);
    if (!error) return {};
    const std::string where = address();
    unplug();
    if (error == asio::error::address_in_use) {
      return fail("the port is in use by another program", where, "choose another or 0");
    }
    return fail(error.message(), where);
  }

  void unplug() override {
    ErrorCode ignored;  // nothing is left to do when closing fails
    acceptor_.close(ignored);
  }

  void async_accept(AcceptHandler handler) override {
    acceptor_.async_accept(
        [name = address(), handler = std::move(handler)](ErrorCode error, tcp::socket socket) {
          if (error) return;  // unplugged
          ErrorCode ignored;  // a link that keeps Nagle's delay still works
          socket.set_option(tcp::no_delay(true), ignored);
          // A strap's radio holds little; a desktop's megabytes would hide congestion.
          socket.set_option(asio::socket_base::send_buffer_size(kLinkBufferBytes), ignored);
          handler(std::make_unique<AsioStream<tcp::socket>>(std::move(socket), name));
        });
  }

  [[nodiscard]] std::string address() const override {
    return "tcp:" + endpoint_.address().to_string() + ":" + std::to_string(endpoint_.port());
  }

 private:
  tcp::acceptor acceptor_;
  tcp::endpoint endpoint_;
};

}  // namespace

std::unique_ptr<VirtualPort> make_virtual_tcp(asio::io_context& context, std::uint16_t port) {
  return std::make_unique<VirtualTcp>(context, port);
}

}  // namespace strapline::acquisition
