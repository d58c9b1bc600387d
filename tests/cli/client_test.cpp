#include <filesystem>

#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

class ClientCommand : public CommandTest {
 protected:
  [[nodiscard]] std::string file_of(const std::string& slug) const {
    return at("clients/" + slug + "/client.toml");
  }
};

TEST_F(ClientCommand, AddShowAndListGiveBackWhatWasSaid) {
  const Outcome added = strapline({"client",
                                   "add",
                                   "stretcher lead",
                                   "--height",
                                   "1.81",
                                   "--shank",
                                   "0.44",
                                   "--mass",
                                   "82",
                                   "--kit",
                                   "thighs and shanks",
                                   "--pain-limit",
                                   "2",
                                   "--most-load",
                                   "squat=80",
                                   "--range-limit",
                                   "knee_flexion=:110",
                                   "--matters",
                                   "knee_flexion=5",
                                   "--ladder",
                                   "squat=below_parallel",
                                   "--notes",
                                   "night shifts"});
  ASSERT_EQ(added.status, kDone) << added.err;
  EXPECT_EQ(added.out, "stretcher lead: " + file_of("stretcher-lead") + "\n");
  const Outcome shown = strapline({"client", "show", "stretcher lead"});
  for (const char* part :
       {"height 1.81 m, shank 0.44 m, mass 82 kg", "pain above 2 stops, squat up to 80 kg",
        "knee flexion at most 110.0°", "knee flexion from 5.0°", "squat: below_parallel",
        "night shifts", "active aims     none"}) {
    EXPECT_THAT(shown.out, HasSubstr(part));
  }
  const auto json = strapline({"client", "show", "Stretcher Lead", "--json"}).json();
  EXPECT_EQ(json["name"], "stretcher lead");
  EXPECT_EQ(json["body"]["height"], 1.81);
  EXPECT_TRUE(json["body"]["thigh"].is_null());
  EXPECT_EQ(json["limits"]["load_kg"]["squat"], 80.0);
  EXPECT_NEAR(json["limits"]["range"]["knee_flexion"]["at_most"].get<double>(), 110.0, 1e-9);
  EXPECT_TRUE(json["limits"]["range"]["knee_flexion"]["at_least"].is_null());
  EXPECT_EQ(json["logbook"], at("clients/stretcher-lead/logbook.h5"));
  ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
  const auto listed = strapline({"client", "list", "--json"}).json();
  ASSERT_EQ(listed["clients"].size(), 2U);
  EXPECT_EQ(listed["clients"][0]["name"], "medic");
  EXPECT_EQ(listed["clients"][0]["limits"]["pain"], 0.0);  // the strict one
}

TEST_F(ClientCommand, EditChangesWhatIsNamedAndTakesAwayWhatIsEmpty) {
  ASSERT_EQ(strapline({"client", "add", "medic", "--height", "1.7", "--most-load", "squat=80",
                       "--most-load", "push_up=0"})
                .status,
            kDone);
  ASSERT_EQ(strapline({"client", "edit", "medic", "--mass", "66", "--most-load", "squat="}).status,
            kDone);
  const auto json = strapline({"client", "show", "medic", "--json"}).json();
  EXPECT_EQ(json["body"]["height"], 1.7);
  EXPECT_EQ(json["body"]["mass_kg"], 66.0);
  EXPECT_FALSE(json["limits"]["load_kg"].contains("squat"));
  EXPECT_EQ(json["limits"]["load_kg"]["push_up"], 0.0);
}

TEST_F(ClientCommand, RefusesInOneLineAndLeavesNothing) {
  const auto refused = [&](const std::vector<std::string>& more, const std::string& line) {
    std::vector<std::string> all{"client", "add", "medic"};
    all.insert(all.end(), more.begin(), more.end());
    expect_refused(strapline(all), kFailed, "strapline: " + line);
  };
  refused({"--height", "178"}, "height: 178 m cannot be right; give 0.5 to 2.6 m");
  refused({"--pain-limit", "11"},
          file_of("medic") + ":9: the pain limit must lie between 0 and 10");
  refused({"--most-load", "squat"},
          "--most-load: \"squat\" is not NAME=VALUE; write it as squat=60");
  refused({"--most-load", "squat=x"}, "--most-load: \"x\" is no number");
  refused({"--most-load", "squat=-1"}, "--most-load: a load is not below 0 kg");
  refused({"--matters", "knee=5"},
          "--matters: unknown measure \"knee\"; use a name as review --json has it");
  refused({"--range-limit", "knee_flexion=100"},
          "--range-limit: \"100\" is not LOW:HIGH; write it as knee_flexion=:100, or =10:100");
  refused({"--range-limit", "knee_flexion=100:10"},
          "--range-limit: the upper limit is not above the lower one; give LOW:HIGH");
  expect_refused(strapline({"client", "add", "!?"}), kFailed,
                 "strapline: client: the name '!?' has no letter and no digit; give a role or a "
                 "name");
  expect_refused(strapline({"client", "show", "medic"}), kFailed,
                 "strapline: in " + at("clients") +
                     ": no client 'medic' is set up; strapline client list shows those that are, "
                     "strapline client add adds one");
  EXPECT_THAT(names(), ElementsAre());
  ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
  const std::string before = bytes_of("clients/medic/client.toml");
  refused({}, file_of("medic") +
                  ": a client is there already; strapline client edit changes one; another name "
                  "makes another");
  expect_refused(strapline({"client", "edit", "medic", "--height", "17"}), kFailed,
                 "strapline: height: 17 m cannot be right; give 0.5 to 2.6 m");
  EXPECT_EQ(bytes_of("clients/medic/client.toml"), before);
}

TEST_F(ClientCommand, ABrokenFileIsNamedAndHidesNobodyElse) {
  ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
  ASSERT_EQ(strapline({"client", "add", "winch operator"}).status, kDone);
  put("clients/medic/client.toml", "name = \"medic\"\nheight = 3\n");
  const Outcome listed = strapline({"client", "list"});
  EXPECT_EQ(listed.status, kFailed);
  EXPECT_THAT(listed.out, HasSubstr("winch operator"));
  EXPECT_EQ(listed.err, "strapline: " + file_of("medic") +
                            ":2: 'height' is not known here; check its spelling, or take it out\n");
}

TEST_F(ClientCommand, AFolderOfOnesOwnCanBeNamed) {
  ASSERT_EQ(strapline({"client", "add", "medic", "--clients", at("team")}).status, kDone);
  EXPECT_TRUE(std::filesystem::exists(at("team/medic/client.toml")));
  EXPECT_THAT(strapline({"client", "list"}).out,
              HasSubstr("No client in " + at("clients") + " yet"));
  EXPECT_THAT(strapline({"client", "list", "--clients", at("team")}).out, HasSubstr("medic"));
}

TEST_F(ClientCommand, LengthsThatTheRecordingLacksAreTheClients) {
  ASSERT_EQ(strapline({"client", "add", "medic", "--height", "1.9"}).status, kDone);
  const std::string csv = put_csv("left_thigh.csv", 4.0);
  ASSERT_EQ(strapline({"import", "--sensor", "left_thigh=" + csv, "--client", "medic", "--movement",
                       "free", "-o", at("i.h5")})
                .status,
            kDone);
  const auto notes = strapline({"review", at("i.h5"), "--json"}).json()["notes"].dump();
  EXPECT_THAT(notes, HasSubstr("from the client's file, not the recording: height"));
  const std::string with_height = synth("s.h5", {"--client", "medic"});
  EXPECT_THAT(strapline({"review", with_height, "--json"}).json()["notes"].dump(),
              Not(HasSubstr("from the client's file, not the recording: height")));
}

}  // namespace
}  // namespace strapline::cli::testing
