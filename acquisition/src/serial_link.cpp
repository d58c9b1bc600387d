#include "serial_link.hpp"

#include <cerrno>
#include <cstring>
#include <memory>

#include <fcntl.h>
#include <libserialport.h>
#include <sys/file.h>
#include <unistd.h>

#include "asio_stream.hpp"

namespace strapline::acquisition {
namespace {

constexpr int kBaudRate = 115200;

tl::unexpected<Failure> open_failure(const std::string& path, int error) {
  switch (error) {
    case ENOENT:
    case ENODEV:
    case ENXIO:
      return fail("no such serial port", path, "check that the strap is attached and switched on");
    case EBUSY:
    case EWOULDBLOCK:
      return fail("the port is in use by another program", path, "close it there and try again");
    case EACCES:
    case EPERM:
      return fail("no permission to open the port", path,
                  "add yourself to the group that owns it, often dialout");
    case ENOTTY:
    case EINVAL:
    case EISDIR:
      return fail("this is not a serial port", path, "give the device file of a port");
    default:
      return fail(std::strerror(error), path);
  }
}

// TIOCEXCL does not stop a privileged second opener, and would stay set on a pseudo-terminal after
// closing; an advisory lock works for both and goes with the descriptor.
bool lock(int descriptor) { return ::flock(descriptor, LOCK_EX | LOCK_NB) == 0; }

// What libserialport does not know, pseudo-terminals above all.
Result<std::unique_ptr<ByteStream>> open_unlisted(asio::io_context& context,
                                                  const std::string& path) {
  asio::serial_port port(context);
  ErrorCode error;
  port.open(path, error);
  if (error) return open_failure(path, error.value());
  if (!lock(port.native_handle())) return open_failure(path, errno);
  port.set_option(asio::serial_port::baud_rate(kBaudRate), error);
  if (error) return open_failure(path, error.value());
  return std::make_unique<AsioStream<asio::serial_port>>(std::move(port), path);
}

std::shared_ptr<sp_port> find_port(const std::string& path) {
  sp_port* port = nullptr;
  if (sp_get_port_by_name(path.c_str(), &port) != SP_OK) return nullptr;
  return {port, [](sp_port* p) {
            sp_close(p);
            sp_free_port(p);
          }};
}

bool configure(sp_port* port) {
  return sp_set_baudrate(port, kBaudRate) == SP_OK && sp_set_bits(port, 8) == SP_OK &&
         sp_set_parity(port, SP_PARITY_NONE) == SP_OK && sp_set_stopbits(port, 1) == SP_OK &&
         sp_set_flowcontrol(port, SP_FLOWCONTROL_NONE) == SP_OK;
}

// libserialport's blocking read takes an unplugged port for progress: it opens and configures,
// Asio streams on a duplicate of its handle.
Result<std::unique_ptr<ByteStream>> open_listed(asio::io_context& context, const std::string& path,
                                                const std::shared_ptr<sp_port>& port) {
  if (sp_open(port.get(), SP_MODE_READ_WRITE) != SP_OK) {
    return open_failure(path, sp_last_error_code());
  }
  int handle = -1;
  if (sp_get_port_handle(port.get(), &handle) != SP_OK) return open_failure(path, EINVAL);
  if (!lock(handle)) return open_failure(path, errno);
  if (!configure(port.get())) return open_failure(path, sp_last_error_code());
  const int duplicate = ::fcntl(handle, F_DUPFD_CLOEXEC, 0);
  if (duplicate < 0) return open_failure(path, errno);
  asio::posix::stream_descriptor descriptor(context);
  ErrorCode error;
  descriptor.assign(duplicate, error);
  if (error) {
    ::close(duplicate);
    return open_failure(path, error.value());
  }
  return std::make_unique<AsioStream<asio::posix::stream_descriptor>>(std::move(descriptor), path,
                                                                      port);
}

}  // namespace

Result<std::unique_ptr<ByteStream>> open_serial(asio::io_context& context,
                                                const std::string& path) {
  if (::access(path.c_str(), F_OK) != 0) return open_failure(path, errno);
  if (const auto port = find_port(path)) return open_listed(context, path, port);
  return open_unlisted(context, path);
}

}  // namespace strapline::acquisition
