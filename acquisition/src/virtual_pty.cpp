#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <utility>

#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include "asio_stream.hpp"
#include "virtual_port.hpp"

namespace strapline::acquisition {
namespace {

constexpr std::chrono::milliseconds kLookInterval{5};  // real time between looks for a host

tl::unexpected<Failure> system_failure(const std::string& what, const std::string& where) {
  return fail(what + ": " + std::strerror(errno), where);
}

/// Makes the terminal raw. Opening and closing its far end also leaves it "hung up", which is how a
/// master learns that no host is there yet.
bool prepare_far_end(const char* path) {
  const int far = ::open(path, O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (far < 0) return false;
  termios settings{};
  bool good = ::tcgetattr(far, &settings) == 0;
  ::cfmakeraw(&settings);
  good = good && ::tcsetattr(far, TCSANOW, &settings) == 0;
  return ::close(far) == 0 && good;
}

class VirtualPty : public VirtualPort {
 public:
  VirtualPty(asio::io_context& context, std::string link_path)
      : context_(context), timer_(context), link_path_(std::move(link_path)) {}

  ~VirtualPty() override {
    VirtualPty::unplug();
    if (linked_) ::unlink(link_path_.c_str());
  }

  Result<void> plug_in() override {
    master_ = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (master_ < 0) return system_failure("no pseudo-terminal to be had", "");
    char path[128];
    if (::grantpt(master_) != 0 || ::unlockpt(master_) != 0 ||
        ::ptsname_r(master_, path, sizeof path) != 0 || !prepare_far_end(path)) {
      const auto failure = system_failure("cannot set up a pseudo-terminal", "");
      unplug();
      return failure;
    }
    far_path_ = path;
    return link_path_.empty() ? Result<void>() : link();
  }

  void unplug() override {
    timer_.cancel();
    handler_ = nullptr;
    if (master_ >= 0) ::close(std::exchange(master_, -1));
  }

  void async_accept(AcceptHandler handler) override {
    handler_ = std::move(handler);
    look();
  }

  [[nodiscard]] std::string address() const override {
    return link_path_.empty() ? far_path_ : link_path_;
  }

 private:
  // The link is made aside and renamed, so that a host finds the old strap or the new one.
  Result<void> link() {
    struct stat existing {};
    if (::lstat(link_path_.c_str(), &existing) == 0 && !S_ISLNK(existing.st_mode)) {
      return fail("a file of this name exists", link_path_, "remove it or choose another name");
    }
    const std::string aside = link_path_ + ".part";
    ::unlink(aside.c_str());
    if (::symlink(far_path_.c_str(), aside.c_str()) != 0 ||
        ::rename(aside.c_str(), link_path_.c_str()) != 0) {
      return system_failure("cannot make the link", link_path_);
    }
    linked_ = true;
    return {};
  }

  // A pseudo-terminal does not announce that its far end was opened: it just stops being hung up.
  void look() {
    timer_.expires_after(kLookInterval);
    timer_.async_wait([this](ErrorCode error) {
      if (error || !handler_) return;
      pollfd state{.fd = master_, .events = 0, .revents = 0};
      if (::poll(&state, 1, 0) < 0 || (state.revents & POLLHUP) != 0) return look();
      accept();
    });
  }

  // The stream closes its own duplicate; the terminal itself stays for the next host.
  void accept() {
    const int duplicate = ::fcntl(master_, F_DUPFD_CLOEXEC, 0);
    asio::posix::stream_descriptor descriptor(context_);
    ErrorCode error;
    if (duplicate >= 0) descriptor.assign(duplicate, error);
    if (duplicate < 0 || error) {
      if (duplicate >= 0) ::close(duplicate);
      return look();
    }
    std::exchange(handler_, nullptr)(std::make_unique<AsioStream<asio::posix::stream_descriptor>>(
        std::move(descriptor), address()));
  }

  asio::io_context& context_;
  asio::steady_timer timer_;
  std::string link_path_;
  std::string far_path_;
  bool linked_ = false;
  int master_ = -1;
  AcceptHandler handler_;
};

}  // namespace

std::unique_ptr<VirtualPort> make_virtual_pty(asio::io_context& context,
                                              const std::string& link_path) {
  return std::make_unique<VirtualPty>(context, link_path);
}

}  // namespace strapline::acquisition
