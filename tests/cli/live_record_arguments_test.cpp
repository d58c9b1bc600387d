// Everything that is wrong before a strap is asked, and straps that are not there.
#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include <arpa/inet.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include "strapline/acquisition/serial_ports.hpp"

#include "live_run_line.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using testing::LineResult;
using testing::run_line;

class Line : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto* test = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::temp_directory_path() /
              (std::string("strapline-line-") + test->name() + "-" + std::to_string(::getpid()));
    fs::create_directories(folder_);
    ::setenv("STRAPLINE_CLIENTS", file("clients").c_str(), 1);  // nobody is set up
  }
  void TearDown() override { fs::remove_all(folder_); }

  /// A record line that would be right if there were a strap; `more` comes on top.
  [[nodiscard]] std::vector<std::string> record(const std::vector<std::string>& more) const {
    std::vector<std::string> line = {"record", "--client", "medic", "-o", file("set.h5")};
    line.insert(line.end(), more.begin(), more.end());
    return line;
  }
  [[nodiscard]] std::vector<std::string> with_strap(std::vector<std::string> more) const {
    more.insert(more.begin(), {"--strap", "left_thigh=" + file("no_such_port")});
    return record(more);
  }
  [[nodiscard]] std::string file(const std::string& name) const {
    return (folder_ / name).string();
  }

  void expect_one_line(const std::vector<std::string>& line, int status,
                       const std::string& says) const {
    const LineResult result = run_line(line);
    EXPECT_EQ(result.status, status);
    EXPECT_THAT(result.err, HasSubstr(says));
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    EXPECT_FALSE(fs::exists(file("set.h5")));
  }

  fs::path folder_;
};

TEST_F(Line, RecordSaysWhatIsWrongBeforeItConnects) {
  expect_one_line(record({"--strap", "left_elbow=/dev/x"}), kFailed,
                  "unknown placement \"left_elbow\"; use one of upper_back");
  expect_one_line(with_strap({"--load", "-5"}), kFailed, "load: -5 kg cannot be right");
  expect_one_line(with_strap({"--rpe", "11"}), kFailed, "effort: 11 cannot be right");
  expect_one_line(with_strap({"--pain", "-1"}), kFailed, "pain: -1 cannot be right");
  expect_one_line(with_strap({"--height", "180"}), kFailed, "height: 180 m cannot be right");
  expect_one_line(with_strap({"--movement", "cartwheel"}), kFailed, "cartwheel");
  expect_one_line(record({"--strap", "left_shank=/dev/x"}), kFailed, "needs a strap on a thigh");
  expect_one_line(record({"--strap", "left_thigh"}), kFailed, "PLACEMENT=ADDRESS");
  expect_one_line(record({"--strap", "left_thigh=tcp:host:0"}), kFailed, "tcp:host:0");
  expect_one_line(with_strap({"--strap", "left_thigh=/dev/y"}), kFailed, "two straps");
  expect_one_line(with_strap({"--strap", "chest=" + file("no_such_port")}), kFailed,
                  "two straps at one address");
  expect_one_line(with_strap({"--set", "9:4"}), kFailed, "FROM before TO");
  expect_one_line(with_strap({"--set", "ten"}), kUsage, "not FROM:TO");
  expect_one_line(record({}), kUsage, "--strap");
  EXPECT_FALSE(fs::exists(file("set.h5.journal")));
}

TEST_F(Line, RecordKeepsWhatIsThere) {
  std::ofstream(file("old.h5")) << "mine";
  const auto strap = "left_thigh=" + file("no_such_port");
  expect_one_line({"record", "--client", "medic", "--strap", strap, "-o", file("old.h5")}, kFailed,
                  "old.h5: the file exists");
  std::ofstream(file("set.h5.journal")) << "left by a crash";
  expect_one_line(with_strap({}), kFailed, "strapline recover");
  EXPECT_EQ(fs::file_size(file("set.h5.journal")), 15U);
  expect_one_line({"record", "--client", "medic", "--strap", strap, "-o", file("no/folder/x.h5")},
                  kFailed, "no such folder");
}

TEST_F(Line, RecordWithoutTheStrapThere) {
  expect_one_line(with_strap({}), kFailed, "no_such_port");
  EXPECT_FALSE(fs::exists(file("set.h5.journal"))) << "an empty journal helps nobody";
}

TEST_F(Line, RecordGivesTheCautionsFirst) {
  EXPECT_THAT(run_line(with_strap({})).out, HasSubstr("Stop on pain"));
}

TEST_F(Line, StrapsSaysThatNoneAnswers) {
  expect_one_line({"straps", file("no_such_port")}, kFailed, "no strap answers");
  const LineResult result = run_line({"straps", "--json", file("no_such_port")});
  EXPECT_THAT(result.out, HasSubstr("\"no_strap\""));
  expect_one_line({"straps", "tcp:nohost"}, kFailed, "tcp:nohost");
}

TEST_F(Line, StrapsSaysThatNoneIsAttached) {
  const auto ports = acquisition::list_serial_ports();
  if (!ports) GTEST_SKIP() << "serial ports cannot be listed here";
  if (std::any_of(ports->begin(), ports->end(), [](auto& p) { return p.transport != "native"; })) {
    GTEST_SKIP() << "something is attached here";
  }
  expect_one_line({"straps"}, kFailed, "no strap is attached");
}

TEST_F(Line, ReplaySaysWhatIsWrong) {
  expect_one_line({"replay", file("none.h5"), "--tcp", "0"}, kFailed, "none.h5");
  expect_one_line({"replay", file("none.h5")}, kFailed, "--pty DIR or --tcp PORT");
  std::ofstream(file("text.h5")) << "not a recording";
  expect_one_line({"replay", file("text.h5"), "--tcp", "0"}, kFailed, "text.h5");
}

TEST_F(Line, RecoverSaysWhatIsWrong) {
  expect_one_line({"recover", file("none.journal")}, kFailed, "none.journal");
  std::ofstream(file("text.journal")) << "not a journal at all";
  expect_one_line({"recover", file("text.journal")}, kFailed, "text.journal");
}

}  // namespace
}  // namespace strapline::cli
