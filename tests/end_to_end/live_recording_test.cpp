// From virtual straps over real links into the file: the whole way, through the command layer.
#include <chrono>
#include <csignal>
#include <fstream>
#include <thread>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <nlohmann/json.hpp>
#include <sys/socket.h>
#include <unistd.h>

#include "strapline/cli/program.hpp"
#include "strapline/recordings/logbook.hpp"
#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

#include "child_program.hpp"
#include "run_line.hpp"

namespace strapline {
namespace {

namespace fs = std::filesystem;
using testing::run_line;
using recordings::Recording;
using testing::ChildProgram;
using ::testing::HasSubstr;

constexpr const char* kSpeed = "10";

class LiveRecording : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto* test = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::temp_directory_path() /
              (std::string("strapline-") + test->name() + "-" + std::to_string(::getpid()));
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  [[nodiscard]] std::string file(const std::string& name) const {
    return (folder_ / name).string();
  }

  /// A squat set of two reps, worn on `placements`, in a file.
  Recording source(const std::string& name, std::vector<dsp::Placement> placements,
                   std::uint64_t seed) const {
    recordings::synthetic::SquatSetParams params;
    params.seed = seed;
    params.reps = 2;
    params.description.client = "winch operator";
    recordings::synthetic::StrapSetup setup;
    setup.seed = seed;
    setup.placements = std::move(placements);
    auto made = recordings::synthetic::synthesize(params, setup);
    EXPECT_TRUE(made && recordings::write_recording(file(name), *made));
    return *made;
  }

  [[nodiscard]] std::unique_ptr<ChildProgram> replay(const std::string& name,
                                                     std::vector<std::string> more) const {
    std::vector<std::string> command = {STRAPLINE_PROGRAM, "replay", file(name),
                                        "--speed",         kSpeed,   "--json"};
    command.insert(command.end(), more.begin(), more.end());
    return std::make_unique<ChildProgram>(command, folder_, name + "-replay");
  }

  /// "--strap", "left_thigh=…" and so on, as the replay printed them.
  static std::vector<std::string> strap_options(ChildProgram& replay) {
    std::vector<std::string> options;
    const auto printed = nlohmann::json::parse(replay.first_line(), nullptr, false);
    EXPECT_FALSE(printed.is_discarded()) << replay.err();
    if (printed.is_discarded()) return options;
    for (const auto& strap : printed.at("straps")) {
      options.insert(options.end(), {"--strap", strap.at("placement").get<std::string>() + "=" +
                                                    strap.at("address").get<std::string>()});
    }
    return options;
  }

  [[nodiscard]] std::vector<std::string> record_line(
      const std::vector<std::vector<std::string>>& options) const {
    std::vector<std::string> line = {"record", "--client", "winch operator", "--speed",
                                     kSpeed,   "-o",       file("got.h5")};
    for (const auto& some : options) line.insert(line.end(), some.begin(), some.end());
    return line;
  }

  fs::path folder_;
};

const recordings::StrapRecord* strap_of(const Recording& recording, dsp::Placement placement) {
  for (const auto& strap : recording.straps) {
    if (strap.placement == placement) return &strap;
  }
  return nullptr;
}

void expect_same_counts(const Recording& sent, const Recording& got) {
  for (const auto& strap : sent.straps) {
    SCOPED_TRACE(dsp::to_string(strap.placement));
    const auto* found = strap_of(got, strap.placement);
    ASSERT_NE(found, nullptr);
    ASSERT_EQ(found->counts.cols(), strap.counts.cols());
    EXPECT_TRUE(found->counts == strap.counts);
    EXPECT_EQ(found->device_id, strap.device_id);
    EXPECT_NEAR(found->acc_scale, strap.acc_scale, 1e-12);
    EXPECT_NEAR(found->gyr_scale, strap.gyr_scale, 1e-12);
    // Ticks go on from the strap's power-up: the steps are those that were sent, to one tick.
    for (std::size_t i = 1; i < strap.tick.size(); ++i) {
      ASSERT_NEAR(static_cast<double>(found->tick[i] - found->tick[0]),
                  static_cast<double>(strap.tick[i] - strap.tick[0]), 2.0);
    }
  }
}

constexpr dsp::Placement kLeftThigh{dsp::Segment::thigh, dsp::Side::left};
constexpr dsp::Placement kRightThigh{dsp::Segment::thigh, dsp::Side::right};
constexpr dsp::Placement kChest{dsp::Segment::chest, dsp::Side::middle};
constexpr dsp::Placement kRightShank{dsp::Segment::shank, dsp::Side::right};

/// The counts as h5py, which knows nothing of this project, reads them: one line of six per sample.
std::string h5py_counts(const std::string& file, const std::string& strap, const fs::path& folder) {
  const std::string script =
      "import sys, h5py, numpy\n"
      "with h5py.File(sys.argv[1]) as f:\n"
      "  numpy.savetxt(sys.stdout, f['straps/' + sys.argv[2] + '/counts'][:], '%d')\n";
  ChildProgram python({"/usr/bin/python3", "-c", script, file, strap}, folder, "h5py-" + strap);
  EXPECT_EQ(python.wait(), 0) << python.err();
  return python.out();
}

bool h5py_is_here(const fs::path& folder) {
  if (!fs::exists("/usr/bin/python3")) return false;
  ChildProgram python({"/usr/bin/python3", "-c", "import h5py, numpy"}, folder, "h5py");
  return python.wait() == 0;
}

TEST_F(LiveRecording, TheFileHoldsExactlyTheCountsThatWereSent) {
  const Recording by_pty = source("pty.h5", {kLeftThigh, kChest}, 21);
  const Recording by_tcp = source("tcp.h5", {kRightThigh, kRightShank}, 22);
  const auto pty = replay("pty.h5", {"--pty", file("ports"), "--drop", "0.02"});
  const auto tcp = replay("tcp.h5", {"--tcp", "0", "--corrupt", "0.0001"});
  const auto result = run_line(record_line({strap_options(*pty),
                                            strap_options(*tcp),
                                            {"--json", "--still", "0.3:2.5", "--set", "2.5:99"},
                                            {"--logbook", file("book.h5"), "--load", "40"}}));
  ASSERT_EQ(result.status, cli::kDone) << result.err;
  EXPECT_EQ(pty->wait(), 0) << "the replay ends when all is played";
  EXPECT_EQ(tcp->wait(), 0);

  const auto got = recordings::read_recording(file("got.h5"));
  ASSERT_TRUE(got) << got.error().line();
  expect_same_counts(by_pty, *got);
  expect_same_counts(by_tcp, *got);
  EXPECT_EQ(got->description.load_kg, 40.0);
  EXPECT_EQ(got->source, "live");
  EXPECT_FALSE(fs::exists(file("got.h5.journal"))) << "removed once the recording was read back";

  const auto summary = nlohmann::json::parse(result.out);
  EXPECT_EQ(summary.at("straps").size(), 4U);
  std::uint64_t resent = 0;
  for (const auto& strap : summary.at("straps")) resent += strap.at("batches_resent").get<int>();
  EXPECT_GT(resent, 0U) << "nothing was dropped on the way: the test shows less than it should";
  const auto book = recordings::read_logbook(file("book.h5"));
  ASSERT_TRUE(book) << book.error().line();
  EXPECT_EQ(book->sets.size(), 1U);

  if (!h5py_is_here(folder_)) GTEST_SKIP() << "no h5py: the file was not read from outside";
  for (const Recording* sent : {&by_pty, &by_tcp}) {
    for (const auto& strap : sent->straps) {
      std::string expected;
      for (Eigen::Index i = 0; i < strap.counts.cols(); ++i) {
        const auto c = strap.counts.col(i);
        expected += fmt::format("{} {} {} {} {} {}\n", c[0], c[1], c[2], c[3], c[4], c[5]);
      }
      const auto name = dsp::to_string(strap.placement);
      EXPECT_TRUE(h5py_counts(file("got.h5"), name, folder_) == expected) << name;
    }
  }
}

TEST_F(LiveRecording, AKilledRecorderLosesNothingThatArrived) {
  const Recording sent = source("src.h5", {kLeftThigh, kChest}, 31);
  const auto player = replay("src.h5", {"--pty", file("ports")});
  auto line = record_line({strap_options(*player)});
  line.insert(line.begin(), STRAPLINE_PROGRAM);
  ChildProgram recorder(line, folder_, "record");
  const fs::path journal = file("got.h5.journal");
  constexpr std::uintmax_t kSomeSeconds = 20'000;  // bytes
  while (!fs::exists(journal) || fs::file_size(journal) < kSomeSeconds) {
    ASSERT_TRUE(recorder.running()) << recorder.err();
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  // While it records, nobody else gets at its straps.
  const auto second = run_line({"record", "--client", "medic", "--strap",
                                "left_thigh=" + file("ports/left_thigh"), "-o", file("two.h5")});
  EXPECT_EQ(second.status, cli::kFailed);
  EXPECT_THAT(second.err, HasSubstr("in use"));
  EXPECT_FALSE(fs::exists(file("two.h5.journal")));

  recorder.signal(SIGKILL);
  EXPECT_EQ(recorder.wait(), -SIGKILL);
  player->signal(SIGTERM);
  EXPECT_FALSE(fs::exists(file("got.h5")));
  const auto result = run_line({"recover", journal.string()});
  EXPECT_EQ(result.status, cli::kDone) << result.err;
  EXPECT_THAT(result.out, HasSubstr("the recording was cut off"));
  EXPECT_TRUE(fs::exists(journal));
  const auto got = recordings::read_recording(file("got.h5"));
  ASSERT_TRUE(got) << got.error().line();
  EXPECT_EQ(got->source, "recovered");
  EXPECT_EQ(got->description.client, "winch operator");
  ASSERT_EQ(got->straps.size(), 2U);
  for (const auto& strap : got->straps) {
    const auto* whole = strap_of(sent, strap.placement);
    ASSERT_NE(whole, nullptr);
    const Eigen::Index n = strap.counts.cols();
    ASSERT_GT(n, 100);
    ASSERT_LE(n, whole->counts.cols());
    EXPECT_TRUE(strap.counts == whole->counts.leftCols(n)) << "the first readings, none left out";
  }

  // Again, with the journal torn at its end, where a power cut would have left it.
  fs::resize_file(journal, fs::file_size(journal) - 7);
  EXPECT_EQ(run_line({"recover", journal.string(), "-o", file("torn.h5")}).status, cli::kDone);
  // And never over a recording that is there.
  const auto again = run_line({"recover", journal.string()});
  EXPECT_EQ(again.status, cli::kFailed);
  EXPECT_THAT(again.err, HasSubstr("got.h5"));
}

TEST_F(LiveRecording, AStrapThatGoesAwayIsALoss) {
  const Recording sent = source("src.h5", {kLeftThigh}, 41);
  const auto player = replay("src.h5", {"--tcp", "0"});
  const auto straps = strap_options(*player);
  std::thread pull_the_plug([&] {
    const fs::path journal = file("got.h5.journal");
    std::error_code missing;
    while (player->running() && (fs::file_size(journal, missing) < 10'000 || missing)) {
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    player->signal(SIGKILL);
  });
  const auto result = run_line(record_line({straps, {"--seconds", "8"}}));
  pull_the_plug.join();
  EXPECT_EQ(result.status, cli::kDoneWithLosses) << result.out << result.err;
  EXPECT_THAT(result.err, HasSubstr("left_thigh: tcp:"));
  EXPECT_THAT(result.err, HasSubstr("did not come back"));
  const auto got = recordings::read_recording(file("got.h5"));
  ASSERT_TRUE(got) << got.error().line();
  const auto& counts = got->straps.at(0).counts;
  ASSERT_GT(counts.cols(), 50);
  EXPECT_TRUE(counts == sent.straps[0].counts.leftCols(counts.cols()));
}

TEST_F(LiveRecording, APortInUseIsSaidInOneLine) {
  source("src.h5", {kLeftThigh}, 51);
  const int taken = ::socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof address;
  auto* any = reinterpret_cast<sockaddr*>(&address);
  ASSERT_EQ(::bind(taken, any, size), 0);
  ASSERT_EQ(::listen(taken, 1), 0);
  ASSERT_EQ(::getsockname(taken, any, &size), 0);
  const auto result =
      run_line({"replay", file("src.h5"), "--tcp", std::to_string(ntohs(address.sin_port))});
  ::close(taken);
  EXPECT_EQ(result.status, cli::kFailed);
  EXPECT_THAT(result.err, HasSubstr("in use"));
}

TEST_F(LiveRecording, StrapsTellsWhoAnswers) {
  const Recording sent = source("src.h5", {kLeftThigh}, 61);
  const auto player = replay("src.h5", {"--tcp", "0"});
  const auto straps = strap_options(*player);
  ASSERT_EQ(straps.size(), 2U);
  const std::string address = straps[1].substr(straps[1].find('=') + 1);
  const auto result = run_line({"straps", "--json", address});
  EXPECT_EQ(result.status, cli::kDone) << result.err;
  const auto printed = nlohmann::json::parse(result.out);
  const auto& strap = printed.at("straps").at(0).at("strap");
  EXPECT_EQ(strap.at("device_id"), fmt::format("{:016x}", sent.straps[0].device_id));
  EXPECT_EQ(strap.at("part"), sent.straps[0].part_name);
  EXPECT_NEAR(strap.at("rate_hz").get<double>(), sent.straps[0].rate_hz, 1e-5);
  EXPECT_EQ(strap.at("battery_percent"), 90);
  player->signal(SIGTERM);
}

}  // namespace
}  // namespace strapline
