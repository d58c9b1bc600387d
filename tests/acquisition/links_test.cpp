// Real links: pseudo-terminals and TCP on this machine.
#include <array>
#include <cstdlib>
#include <filesystem>
#include <optional>

#include <arpa/inet.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include "strapline/acquisition/event_loop.hpp"
#include "strapline/acquisition/serial_ports.hpp"

namespace strapline::acquisition {
namespace {

using Opened = Result<std::unique_ptr<ByteStream>>;
constexpr std::int64_t kTimeout_ns = 5'000'000'000;

/// The far end of a pseudo-terminal.
class PseudoTerminal {
 public:
  PseudoTerminal() : master_(::posix_openpt(O_RDWR | O_NOCTTY)) {
    ::grantpt(master_);
    ::unlockpt(master_);
  }
  ~PseudoTerminal() { hang_up(); }
  PseudoTerminal(const PseudoTerminal&) = delete;
  PseudoTerminal& operator=(const PseudoTerminal&) = delete;
  void hang_up() {
    if (master_ >= 0) ::close(std::exchange(master_, -1));
  }
  [[nodiscard]] std::string path() const { return ::ptsname(master_); }
  [[nodiscard]] int master() const { return master_; }

 private:
  int master_;
};

/// A listening TCP socket on a port that the system chose.
class Listener {
 public:
  explicit Listener(int backlog = 4) : socket_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in any{};
    any.sin_family = AF_INET;
    any.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    ::bind(socket_, reinterpret_cast<sockaddr*>(&any), sizeof any);
    ::listen(socket_, backlog);
    socklen_t size = sizeof any;
    ::getsockname(socket_, reinterpret_cast<sockaddr*>(&any), &size);
    port_ = ntohs(any.sin_port);
  }
  ~Listener() { close(); }
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;
  void close() {
    if (socket_ >= 0) ::close(std::exchange(socket_, -1));
  }
  [[nodiscard]] int accept() const { return ::accept(socket_, nullptr, nullptr); }
  [[nodiscard]] std::string address() const { return "tcp:127.0.0.1:" + std::to_string(port_); }

 private:
  int socket_;
  std::uint16_t port_ = 0;
};

class Links : public ::testing::Test {
 protected:
  Opened open(const std::string& address, std::int64_t timeout_ns = kTimeout_ns) {
    std::optional<Opened> answer;
    loop.async_open(*parse_address(address), timeout_ns, [&](Opened opened) {
      answer = std::move(opened);
      loop.stop();
    });
    loop.run();
    if (!answer) return fail("no answer");
    return std::move(*answer);
  }

  /// The next bytes or the failure, as text.
  std::string read(ByteStream& stream) {
    std::string got;
    stream.async_read([&](Result<std::span<const std::uint8_t>> bytes) {
      got = bytes ? std::string(bytes->begin(), bytes->end()) : bytes.error().line();
      loop.stop();
    });
    loop.run();
    return got;
  }

  bool write(ByteStream& stream, const std::string& text) {
    bool done = false;
    stream.async_write({text.begin(), text.end()}, [&](const Result<void>& written) {
      done = written.has_value();
      loop.stop();
    });
    loop.run();
    return done;
  }

  SteadyClock clock;
  EventLoop loop{clock};
};

std::string read_all(int descriptor, std::size_t size) {
  std::string text(size, '\0');
  std::size_t have = 0;
  while (have < size) {
    const auto got = ::read(descriptor, text.data() + have, size - have);
    if (got <= 0) break;
    have += static_cast<std::size_t>(got);
  }
  return text;
}

TEST_F(Links, PseudoTerminalCarriesEveryByteUnchanged) {
  PseudoTerminal terminal;
  auto stream = open(terminal.path());
  ASSERT_TRUE(stream) << stream.error().line();
  EXPECT_EQ((*stream)->description(), terminal.path());
  std::string all;  // line ends, interrupts, end of file and flow control among them
  for (int byte = 0; byte < 256; ++byte) all.push_back(static_cast<char>(byte));
  ASSERT_TRUE(write(**stream, all));
  EXPECT_EQ(read_all(terminal.master(), 256), all);
  ASSERT_EQ(::write(terminal.master(), all.data(), all.size()), 256);
  std::string got;
  while (got.size() < 256) got += read(**stream);
  EXPECT_EQ(got, all);
}

TEST_F(Links, PortInUseIsOneLineAndClosingFreesIt) {
  PseudoTerminal terminal;
  auto first = open(terminal.path());
  ASSERT_TRUE(first);
  const auto second = open(terminal.path());
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().line(), terminal.path() +
                                       ": the port is in use by another program; close it there "
                                       "and try again");
  (*first)->close();
  EXPECT_TRUE(open(terminal.path()));
}

TEST_F(Links, HangUpIsTheEndOfTheStream) {
  PseudoTerminal terminal;
  auto stream = open(terminal.path());
  ASSERT_TRUE(stream);
  const std::string path = terminal.path();
  terminal.hang_up();
  EXPECT_EQ(read(**stream), path + ": the link was closed by the other side");
}

TEST_F(Links, MissingPortAndWhatIsNoPort) {
  EXPECT_EQ(open("/dev/ttyNOTHING").error().line(),
            "/dev/ttyNOTHING: no such serial port; check that the strap is attached and switched "
            "on");
  EXPECT_EQ(open("/etc/passwd").error().line(),
            "/etc/passwd: this is not a serial port; give the device file of a port");
  EXPECT_EQ(open("/dev/null").error().line(),
            "/dev/null: this is not a serial port; give the device file of a port");
}

TEST_F(Links, TcpCarriesBothWaysAndEnds) {
  Listener listener;
  auto stream = open(listener.address());
  ASSERT_TRUE(stream) << stream.error().line();
  const int peer = listener.accept();
  ASSERT_TRUE(write(**stream, "ping"));
  EXPECT_EQ(read_all(peer, 4), "ping");
  ASSERT_EQ(::write(peer, "pong", 4), 4);
  EXPECT_EQ(read(**stream), "pong");
  ::close(peer);
  EXPECT_EQ(read(**stream), listener.address() + ": the link was closed by the other side");
}

TEST_F(Links, TcpRefusedAndHostNotFound) {
  Listener listener;
  const std::string address = listener.address();
  listener.close();
  EXPECT_EQ(open(address).error().line(),
            address +
                ": connection refused; check that the bridge is running and the port is "
                "right");
  // RFC 6761: no name under .invalid exists.
  EXPECT_EQ(open("tcp:no-such-bridge.invalid:7000").error().line(),
            "tcp:no-such-bridge.invalid:7000: host not found; check the host's name");
}

TEST_F(Links, TcpTimesOutWhereNobodyAnswers) {
  const Listener listener(0);
  // A full queue makes the system leave further attempts unanswered.
  std::vector<std::unique_ptr<ByteStream>> queued;
  for (int i = 0; i < 4; ++i) {
    auto stream = open(listener.address(), 300'000'000);
    if (!stream) {
      EXPECT_EQ(stream.error().line(),
                listener.address() + ": nobody answered in time; check the address");
      return;
    }
    queued.push_back(std::move(*stream));
  }
  FAIL() << "the queue never filled";
}

TEST_F(Links, NoHandlerRunsAfterClose) {
  PseudoTerminal terminal;
  auto stream = open(terminal.path());
  ASSERT_TRUE(stream);
  bool called = false;
  (*stream)->async_read([&](auto) { called = true; });
  ASSERT_EQ(::write(terminal.master(), "x", 1), 1);
  (*stream)->close();
  (*stream)->close();
  loop.run();  // ends, because nothing is left to wait for
  EXPECT_FALSE(called);
}

TEST_F(Links, TimersRunInOrderAndCancelledOnesDoNot) {
  std::string order;
  loop.after(20'000'000, [&] { order += 'b'; });
  const auto never = loop.after(10'000'000, [&] { order += 'x'; });
  loop.after(1'000'000, [&] { order += 'a'; });
  loop.post([&] {
    order += '0';
    loop.cancel(never);
    loop.cancel(0);
  });
  loop.run();
  EXPECT_EQ(order, "0ab");
}

TEST_F(Links, LinesAndInterruptsArrive) {
  std::array<int, 2> ends{};
  ASSERT_EQ(::pipe(ends.data()), 0);
  std::vector<std::string> lines;
  int interrupts = 0;
  loop.on_line(ends[0], [&](const std::string& line) {
    lines.push_back(line);
    if (lines.size() == 2) ::raise(SIGINT);
  });
  loop.on_interrupt([&] {
    if (++interrupts == 2) return loop.forget_watches();
    ::raise(SIGTERM);
  });
  ASSERT_EQ(::write(ends[1], "set\r\nst", 7), 7);
  ASSERT_EQ(::write(ends[1], "ill\nrest", 8), 8);
  loop.run();
  EXPECT_EQ(lines, (std::vector<std::string>{"set", "still"}));
  EXPECT_EQ(interrupts, 2);
  ::close(ends[0]);
  ::close(ends[1]);
}

TEST(ScaledClock, RunsFasterAndItsTimersShorter) {
  const ScaledClock clock(100.0);
  EXPECT_EQ(clock.real_duration(1'000'000'000).count(), 10'000'000);
  const SteadyClock steady;
  const auto from = clock.now_ns();
  const auto steady_from = steady.now_ns();
  while (steady.now_ns() - steady_from < 2'000'000) {
  }
  EXPECT_GE(clock.now_ns() - from, 200'000'000);
}

TEST(SerialPorts, AreListedWithoutPseudoTerminals) {
  if (!std::filesystem::exists("/sys/class/tty")) GTEST_SKIP() << "no /sys here: nothing to list";
  const auto ports = list_serial_ports();
  ASSERT_TRUE(ports) << ports.error().line();
  for (const SerialPortInfo& port : *ports) {
    EXPECT_TRUE(port.path.starts_with("/dev/"));
    EXPECT_FALSE(port.path.starts_with("/dev/pts/"));
    EXPECT_FALSE(port.transport.empty());
  }
}

}  // namespace
}  // namespace strapline::acquisition
