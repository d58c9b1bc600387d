#include <filesystem>

#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;

class NoteCommand : public CommandTest {
 protected:
  /// A set of the medic, who is set up, in the medic's logbook.
  [[nodiscard]] std::string logged_set() const {
    EXPECT_EQ(strapline({"client", "add", "medic"}).status, kDone);
    const std::string file = synth("a.h5", {"--client", "medic", "--load", "40", "--rpe", "7"});
    EXPECT_EQ(strapline({"review", file, "--no-page", "--client", "medic"}).status, kDone);
    return file;
  }
  [[nodiscard]] nlohmann::json logged() const {
    return strapline({"logbook", at("clients/medic/logbook.h5"), "--json"}).json()["sets"].at(0);
  }
};

TEST_F(NoteCommand, GoesIntoTheRecordingAndTheLogbookAndNowhereElse) {
  const std::string file = logged_set();
  const auto before = strapline({"review", file, "--json"}).json();
  const Outcome noted = strapline({"note", file, "--rpe", "8.5", "--pain", "2", "--pain-place",
                                   "left knee", "--notes", "slept little"});
  ASSERT_EQ(noted.status, kDone) << noted.err;
  EXPECT_EQ(noted.out,
            "40 kg, RPE 8.5, pain 2/10, left knee, medic\nnotes: slept little\nnoted in " + file +
                " and " + at("clients/medic/logbook.h5") + "\n");
  const auto after = strapline({"review", file, "--json"}).json();
  EXPECT_EQ(after["set"]["effort_rpe"], 8.5);
  EXPECT_EQ(after["set"]["pain"], 2.0);
  EXPECT_EQ(after["set"]["notes"], "slept little");
  EXPECT_EQ(after["set"]["load_kg"], 40.0);
  EXPECT_EQ(after["reps"], before["reps"]);
  EXPECT_EQ(after["set_id"], before["set_id"]);
  EXPECT_EQ(logged()["pain_place"], "left knee");
  EXPECT_EQ(logged()["effort_rpe"], 8.5);
  EXPECT_EQ(logged()["reps"], before["reps"]);
}

// A logbook made anew from the recordings is the one that was amended.
TEST_F(NoteCommand, LeavesTheLogbookThatARebuildWouldMake) {
  const std::string file = logged_set();
  ASSERT_EQ(strapline({"note", file, "--rir", "1", "--forget", "rpe"}).status, kDone);
  const std::string amended = bytes_of("clients/medic/logbook.h5");
  ASSERT_EQ(strapline({"logbook", at("clients/medic/logbook.h5"), "--rebuild", at(""), "--client",
                       "medic"})
                .status,
            kDone);
  EXPECT_EQ(bytes_of("clients/medic/logbook.h5"), amended);
}

TEST_F(NoteCommand, ForgetMakesItNotLoggedAgain) {
  const std::string file = logged_set();
  ASSERT_EQ(strapline({"note", file, "--pain", "3", "--pain-place", "hip"}).status, kDone);
  ASSERT_EQ(strapline({"note", file, "--forget", "pain", "--forget", "load"}).status, kDone);
  const auto set = strapline({"review", file, "--json"}).json()["set"];
  EXPECT_TRUE(set["pain"].is_null());
  EXPECT_EQ(set["pain_place"], "");
  EXPECT_TRUE(set["load_kg"].is_null());
  EXPECT_EQ(set["effort_rpe"], 7.0);
}

TEST_F(NoteCommand, WhereTheRecordingIsGoneOnlyTheLogbookIsAndItSaysSo) {
  const std::string file = logged_set();
  std::filesystem::remove(file);
  expect_refused(strapline({"note", file, "--pain", "3"}), kFailed,
                 "strapline: " + file +
                     ": no such file; check the name; for a recording that is gone, name --client "
                     "or --logbook");
  const Outcome noted = strapline({"note", file, "--pain", "3", "--client", "medic"});
  ASSERT_EQ(noted.status, kDone) << noted.err;
  EXPECT_THAT(noted.out, HasSubstr("noted in " + at("clients/medic/logbook.h5") +
                                   " only: the recording " + file + " is gone"));
  EXPECT_EQ(logged()["pain"], 3.0);
  expect_refused(strapline({"note", at("other.h5"), "--pain", "3", "--client", "medic"}), kFailed,
                 "strapline: " + at("other.h5") +
                     ": the recording is gone, and the logbook has no set of this name; strapline "
                     "logbook lists them");
}

TEST_F(NoteCommand, WithoutALogbookTheRecordingAloneIsNoted) {
  const std::string file = synth("a.h5", {"--client", "winch operator"});
  EXPECT_THAT(strapline({"note", file, "--rpe", "6"}).out,
              HasSubstr("noted in " + file + "; no logbook is known"));
  EXPECT_EQ(strapline({"review", file, "--json"}).json()["set"]["effort_rpe"], 6.0);
  const Outcome json = strapline({"note", file, "--rpe", "7", "--json"});
  EXPECT_EQ(json.json()["in_logbook"], false);
  EXPECT_EQ(json.json()["set"]["effort_rpe"], 7.0);
}

TEST_F(NoteCommand, ALogbookThatCannotBeChangedIsSaidBesideWhatWasDone) {
  const std::string file = logged_set();
  put("clients/medic/logbook.h5", "no logbook");
  const Outcome noted = strapline({"note", file, "--pain", "3"});
  EXPECT_EQ(noted.status, kFailed);
  EXPECT_THAT(noted.err, HasSubstr("noted in the recording, but not in the logbook: " +
                                   at("clients/medic/logbook.h5") + ": not an HDF5 file"));
  std::filesystem::remove(at("clients/medic/logbook.h5"));
  EXPECT_EQ(strapline({"review", file, "--json"}).json()["set"]["pain"], 3.0);
}

TEST_F(NoteCommand, RefusesWhatCannotBeRightAndChangesNothing) {
  const std::string file = logged_set();
  const std::string before = bytes_of("a.h5");
  const std::string book = bytes_of("clients/medic/logbook.h5");
  expect_refused(strapline({"note", file}), kFailed,
                 "strapline: " + file +
                     ": nothing to note is named; say --rpe, --rir, --pain, --pain-place, --notes, "
                     "--load or --forget");
  EXPECT_THAT(strapline({"note", file, "--pain", "12"}).err, HasSubstr("pain: 12 cannot be right"));
  EXPECT_THAT(strapline({"note", file, "--rpe", "0"}).err, HasSubstr("effort: 0 cannot be right"));
  EXPECT_THAT(strapline({"note", file, "--forget", "client"}).err,
              HasSubstr("--forget: \"client\" is nothing that is noted"));
  EXPECT_EQ(strapline({"note", file, "--pain", "much"}).status, kUsage);
  EXPECT_EQ(bytes_of("a.h5"), before);
  EXPECT_EQ(bytes_of("clients/medic/logbook.h5"), book);
}

}  // namespace
}  // namespace strapline::cli::testing
