#include <gmock/gmock.h>

#include "strapline/acquisition/journal.hpp"

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

class Check : public CommandTest {};

TEST_F(Check, SoundFiles) {
  const std::string file = synth("a.h5", {"--placements", "left_thigh,left_shank"});
  const Outcome recording = strapline({"check", file});
  EXPECT_EQ(recording.status, kDone);
  EXPECT_THAT(recording.out, HasSubstr("note: recording of stretcher lead, squat\n"));
  EXPECT_THAT(recording.out, HasSubstr("note: left_shank: "));
  EXPECT_THAT(recording.out, HasSubstr(file + ": sound\n"));
  ASSERT_EQ(strapline({"logbook", at("l.h5"), "--add", file}).status, kDone);
  const Outcome logbook = strapline({"check", at("l.h5")});
  EXPECT_EQ(logbook.status, kDone);
  EXPECT_EQ(logbook.out,
            "note: logbook of stretcher lead: 1 sets, 5 reps\n" + at("l.h5") + ": sound\n");
  const auto json = strapline({"check", at("l.h5"), "--json"}).json();
  EXPECT_EQ(json["kind"], "logbook");
  EXPECT_EQ(json["verdict"], "note");
}

TEST_F(Check, LossesAreDoneWithLosses) {
  put("gap.csv",
      "t,ax,ay,az,gx,gy,gz\n0.0,0,9.8,0,0,0,0\n0.1,0,9.8,0,0,0,0\n0.2,0,9.8,0,0,0,0\n"
      "0.9,0,9.8,0,0,0,0\n1.0,0,9.8,0,0,0,0\n");
  ASSERT_EQ(strapline({"import", "--sensor", "chest=" + at("gap.csv"), "-o", at("g.h5")}).status,
            kDone);
  const Outcome outcome = strapline({"check", at("g.h5")});
  EXPECT_EQ(outcome.status, kDoneWithLosses);
  EXPECT_THAT(outcome.out, HasSubstr("loss: chest: 1 gaps, the longest 0.700 s\n"));
  EXPECT_THAT(outcome.out, HasSubstr(at("g.h5") + ": sound, with losses\n"));
}

TEST_F(Check, DamagedForeignAndMissingFiles) {
  synth("a.h5", {"--placements", "left_thigh"});
  const std::string whole = bytes_of("a.h5");
  put("short.h5", whole.substr(0, whole.size() - 1));
  std::string flipped = whole;
  flipped[whole.size() / 2] = static_cast<char>(flipped[whole.size() / 2] ^ 0x10);
  put("flipped.h5", flipped);
  put("text.txt", "shopping list");
  expect_refused(strapline({"check", at("short.h5")}), kFailed,
                 "strapline: " + at("short.h5") + ": the file is cut short: " +
                     std::to_string(whole.size() - 1) + " of " + std::to_string(whole.size()) +
                     " bytes; restore it from a copy, or recover it from its journal");
  expect_refused(strapline({"check", at("text.txt")}), kFailed,
                 "strapline: " + at("text.txt") +
                     ": not a recording, a logbook or a journal; give a file that this program "
                     "wrote");
  expect_refused(strapline({"check", at("none.h5")}), kFailed,
                 "strapline: " + at("none.h5") + ": no such file; check the name");
  const Outcome damaged = strapline({"check", at("flipped.h5")});
  EXPECT_EQ(damaged.status, kFailed);
  EXPECT_THAT(damaged.err, HasSubstr("strapline: "));
  EXPECT_THAT(damaged.out, Not(HasSubstr("sound")));
  const Outcome json = strapline({"check", at("text.txt"), "--json"});
  EXPECT_EQ(json.status, kFailed);
  EXPECT_EQ(json.json()["verdict"], "fault");
}

TEST_F(Check, JournalsEndedAndNot) {
  namespace acq = acquisition;
  {
    auto writer = acq::JournalWriter::create(at("s.journal"), "{}", 1000);
    ASSERT_TRUE(writer) << writer.error().line();
    ASSERT_TRUE((*writer)->declare_strap(0, 1000, "chest", "tcp:127.0.0.1:1"));
    ASSERT_TRUE((*writer)->close(2000));
  }
  const Outcome ended = strapline({"check", at("s.journal")});
  EXPECT_EQ(ended.status, kDone) << ended.err;
  EXPECT_EQ(ended.out,
            "note: journal of a session: 1 straps, 0 frames\n" + at("s.journal") + ": sound\n");
  put("torn.journal", bytes_of("s.journal").substr(0, bytes_of("s.journal").size() - 3));
  const Outcome torn = strapline({"check", at("torn.journal")});
  EXPECT_EQ(torn.status, kDoneWithLosses);
  EXPECT_THAT(torn.out, HasSubstr("loss: the session was not ended in order"));
  EXPECT_THAT(torn.out, HasSubstr("bytes are an unfinished record"));
  put("head.journal", bytes_of("s.journal").substr(0, 6));
  EXPECT_EQ(strapline({"check", at("head.journal")}).status, kFailed);
}

}  // namespace
}  // namespace strapline::cli::testing
