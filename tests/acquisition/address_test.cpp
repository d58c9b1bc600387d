#include "strapline/acquisition/address.hpp"

#include <gtest/gtest.h>

namespace strapline::acquisition {
namespace {

TEST(Address, IsReadAndWrittenBack) {
  for (const char* text :
       {"/dev/ttyACM0", "tcp:bridge:7000", "tcp:192.0.2.7:1", "tcp:[::1]:65535"}) {
    const auto address = parse_address(text);
    ASSERT_TRUE(address) << address.error().line();
    EXPECT_EQ(address->text(), text);
  }
  EXPECT_EQ(parse_address("tcp:[::1]:7000")->host, "::1");
  EXPECT_EQ(parse_address("tcp:bridge:7000")->port, 7000);
  EXPECT_EQ(parse_address("/dev/pts/3")->kind, Address::Kind::kSerial);
}

TEST(Address, SaysWhatIsWrong) {
  const auto line = [](const char* text) { return parse_address(text).error().line(); };
  const std::string todo = "; write tcp:HOST:PORT, or a device file such as /dev/ttyACM0";
  EXPECT_EQ(line(""), "(empty): no address given" + todo);
  EXPECT_EQ(line("tcp:"), "tcp:: a TCP address needs a port" + todo);
  EXPECT_EQ(line("tcp:bridge"), "tcp:bridge: a TCP address needs a port" + todo);
  EXPECT_EQ(line("tcp::7000"), "tcp::7000: a TCP address needs a host" + todo);
  EXPECT_EQ(line("tcp:::1:7000"), "tcp:::1:7000: an IPv6 host stands in brackets" + todo);
  for (const char* text : {"tcp:b:0", "tcp:b:65536", "tcp:b:-1", "tcp:b:70x", "tcp:b:"}) {
    EXPECT_EQ(line(text),
              std::string(text) + ": the TCP port is not a number from 1 to 65535" + todo);
  }
}

}  // namespace
}  // namespace strapline::acquisition
