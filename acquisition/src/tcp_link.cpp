#include "tcp_link.hpp"

#include <memory>
#include <string>
#include <utility>

#include <boost/asio/connect.hpp>

#include "asio_stream.hpp"

namespace strapline::acquisition {
namespace {

using asio::ip::tcp;

// One attempt: resolve, connect, hand over; whichever of it and the timer comes first answers.
struct Attempt : std::enable_shared_from_this<Attempt> {
  Attempt(asio::io_context& context, Address a, LinkOpener::OpenHandler h)
      : address(std::move(a)),
        handler(std::move(h)),
        resolver(context),
        socket(context),
        timer(context) {}

  void start(std::chrono::nanoseconds timeout) {
    timer.expires_after(timeout);
    timer.async_wait([self = shared_from_this()](ErrorCode error) {
      if (!error) self->answer(self->failure("nobody answered in time", "check the address"));
    });
    resolver.async_resolve(address.host, std::to_string(address.port),
                           [self = shared_from_this()](ErrorCode error, const auto& endpoints) {
                             if (self->answered) return;
                             if (error) return self->answer(self->not_found(error));
                             self->connect(endpoints);
                           });
  }

  void connect(const tcp::resolver::results_type& endpoints) {
    asio::async_connect(socket, endpoints,
                        [self = shared_from_this()](ErrorCode error, const tcp::endpoint&) {
                          if (self->answered) return;
                          if (error) return self->answer(self->refused(error));
                          self->hand_over();
                        });
  }

  void hand_over() {
    ErrorCode ignored;  // a link that keeps Nagle's delay still works
    socket.set_option(tcp::no_delay(true), ignored);
    answer(std::make_unique<AsioStream<tcp::socket>>(std::move(socket), address.text()));
  }

  void answer(Result<std::unique_ptr<ByteStream>> result) {
    if (std::exchange(answered, true)) return;
    timer.cancel();
    resolver.cancel();
    ErrorCode ignored;
    if (!result) socket.close(ignored);
    std::exchange(handler, nullptr)(std::move(result));
  }

  [[nodiscard]] tl::unexpected<Failure> failure(std::string what, std::string todo) const {
    return fail(std::move(what), address.text(), std::move(todo));
  }
  [[nodiscard]] tl::unexpected<Failure> not_found(ErrorCode error) const {
    const bool unknown = error == asio::error::host_not_found || error == asio::error::no_data ||
                         error == asio::error::host_not_found_try_again;
    return failure(unknown ? "host not found" : error.message(), "check the host's name");
  }
  [[nodiscard]] tl::unexpected<Failure> refused(ErrorCode error) const {
    const bool nobody = error == asio::error::connection_refused;
    return failure(nobody ? "connection refused" : error.message(),
                   "check that the bridge is running and the port is right");
  }

  Address address;
  LinkOpener::OpenHandler handler;
  tcp::resolver resolver;
  tcp::socket socket;
  asio::steady_timer timer;
  bool answered = false;
};

}  // namespace

void open_tcp(asio::io_context& context, const Address& address, std::chrono::nanoseconds timeout,
              LinkOpener::OpenHandler handler) {
  std::make_shared<Attempt>(context, address, std::move(handler))->start(timeout);
}

}  // namespace strapline::acquisition
