#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

class LogbookCommand : public CommandTest {
 protected:
  std::string set_of(const std::string& name, const std::string& client, const std::string& date,
                     int seed) const {
    return synth(name, {"--client", client, "--date", date, "--seed", std::to_string(seed),
                        "--placements", "left_thigh,left_shank", "--load", "40"});
  }
};

TEST_F(LogbookCommand, AddsListsAndRebuildsTheSame) {
  const std::string b = set_of("b.h5", "medic", "2026-10-12", 2);
  const std::string a = set_of("a.h5", "medic", "2026-10-05", 1);
  set_of("other.h5", "winch operator", "2026-10-05", 3);
  const std::string logbook = at("medic.h5");
  EXPECT_EQ(strapline({"logbook", logbook, "--add", b, a}).out, logbook + ": added 2\n");
  EXPECT_EQ(strapline({"logbook", logbook, "--add", a}).out,
            logbook + ": added 0, already there 1\n");
  const auto json = strapline({"logbook", logbook, "--json"}).json();
  EXPECT_EQ(json["client"], "medic");
  ASSERT_EQ(json["sets"].size(), 2U);
  EXPECT_EQ(json["sets"][0]["file"], "a.h5");  // in time order
  EXPECT_EQ(json["sets"][0]["full_reps"], 5);
  EXPECT_EQ(json["sets"][0]["reps"], strapline({"review", a, "--json"}).json()["reps"]);
  const Outcome table = strapline({"logbook", logbook});
  EXPECT_THAT(table.out, HasSubstr("Logbook of medic: 2 sets\n"));
  EXPECT_THAT(table.out, HasSubstr("2026-10-05 00:00  squat     40 kg  5"));
  const Outcome rebuilt =
      strapline({"logbook", at("again.h5"), "--rebuild", folder_.string(), "--client", "medic"});
  EXPECT_EQ(rebuilt.status, kDone) << rebuilt.err;
  EXPECT_EQ(rebuilt.out, at("again.h5") + ": added 2, of other clients 1\n");
  EXPECT_EQ(bytes_of("again.h5"), bytes_of("medic.h5"));
}

TEST_F(LogbookCommand, OneBadFileKeepsNoOtherOut) {
  const std::string a = set_of("a.h5", "medic", "2026-10-05", 1);
  const std::string b = set_of("b.h5", "medic", "2026-10-12", 2);
  put("bad.h5", bytes_of("a.h5").substr(0, 20000));
  const Outcome added = strapline({"logbook", at("l.h5"), "--add", a, at("none.h5"), b});
  EXPECT_EQ(added.status, kFailed);
  EXPECT_EQ(added.err, "strapline: " + at("none.h5") + ": no such file; check the name\n");
  EXPECT_EQ(added.out, at("l.h5") + ": added 2, not usable 1\n");
  const Outcome rebuilt =
      strapline({"logbook", at("l.h5"), "--rebuild", folder_.string(), "--client", "medic"});
  EXPECT_EQ(rebuilt.status, kDoneWithLosses);
  EXPECT_THAT(rebuilt.err, HasSubstr("bad.h5: the file is cut short: 20000 of"));
  EXPECT_EQ(rebuilt.out, at("l.h5") + ": added 2, not usable 1\n");
}

TEST_F(LogbookCommand, WrongInputLeavesTheLogbookAsItWas) {
  const std::string a = set_of("a.h5", "medic", "2026-10-05", 1);
  const std::string other = set_of("o.h5", "winch operator", "2026-10-05", 3);
  ASSERT_EQ(strapline({"logbook", at("l.h5"), "--add", a}).status, kDone);
  const std::string before = bytes_of("l.h5");
  const Outcome mixed = strapline({"logbook", at("l.h5"), "--add", other});
  EXPECT_EQ(mixed.status, kFailed);
  EXPECT_THAT(mixed.err, HasSubstr("medic"));
  expect_refused(strapline({"logbook", at("l.h5"), "--rebuild", folder_.string()}), kUsage,
                 "strapline: with --rebuild, --client is required; see strapline --help");
  const Outcome nowhere =
      strapline({"logbook", at("l.h5"), "--rebuild", at("nowhere"), "--client", "medic"});
  EXPECT_EQ(nowhere.status, kFailed);
  EXPECT_THAT(nowhere.err, HasSubstr("nowhere"));
  expect_refused(strapline({"logbook", at("none.h5")}), kFailed,
                 "strapline: " + at("none.h5") + ": no such file; check the name");
  expect_refused(strapline({"logbook", a}), kFailed,
                 "strapline: " + a +
                     ": an HDF5 file, but not a logbook (it says "
                     "strapline-recording)");
  EXPECT_EQ(bytes_of("l.h5"), before);
  EXPECT_THAT(names(), ElementsAre("a.h5", "l.h5", "o.h5"));
}

}  // namespace
}  // namespace strapline::cli::testing
