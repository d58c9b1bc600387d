#include "strapline/acquisition/address.hpp"

#include <charconv>

namespace strapline::acquisition {
namespace {

constexpr std::string_view kTcpPrefix = "tcp:";

tl::unexpected<Failure> bad(std::string_view text, std::string what) {
  return fail(std::move(what), std::string(text),
              "write tcp:HOST:PORT, or a device file such as /dev/ttyACM0");
}

std::string_view without_brackets(std::string_view host) {
  const bool bracketed = host.size() >= 2 && host.front() == '[' && host.back() == ']';
  return bracketed ? host.substr(1, host.size() - 2) : host;
}

Result<Address> parse_tcp(std::string_view text) {
  const std::string_view rest = text.substr(kTcpPrefix.size());
  const auto colon = rest.rfind(':');
  if (colon == std::string_view::npos) return bad(text, "a TCP address needs a port");
  const std::string_view written_host = rest.substr(0, colon);
  const std::string_view host = without_brackets(written_host);
  if (host.empty()) return bad(text, "a TCP address needs a host");
  if (host == written_host && host.find(':') != std::string_view::npos) {
    return bad(text, "an IPv6 host stands in brackets");
  }
  const std::string_view digits = rest.substr(colon + 1);
  std::uint16_t port = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), port);
  if (error != std::errc{} || end != digits.data() + digits.size() || port == 0) {
    return bad(text, "the TCP port is not a number from 1 to 65535");
  }
  Address address;
  address.kind = Address::Kind::kTcp;
  address.host = host;
  address.port = port;
  return address;
}

}  // namespace

std::string Address::text() const {
  if (kind == Kind::kSerial) return path;
  const bool ipv6 = host.find(':') != std::string::npos;
  return std::string(kTcpPrefix) + (ipv6 ? "[" + host + "]" : host) + ":" + std::to_string(port);
}

Result<Address> parse_address(std::string_view text) {
  if (text.empty()) return bad("(empty)", "no address given");
  if (text.starts_with(kTcpPrefix)) return parse_tcp(text);
  Address address;
  address.path = text;
  return address;
}

}  // namespace strapline::acquisition
