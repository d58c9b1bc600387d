#include <gmock/gmock.h>

#include "command_line.hpp"
#include "logged_weeks.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

constexpr const char* kToday = "2026-11-25";

/// The medic squats to parallel with body weight; four sessions that earn the next step.
class OnALadder : public CommandTest {
 protected:
  OnALadder() { add_client("medic", {"--mass", "62", "--ladder", "squat=parallel"}); }
  void add_client(const std::string& name, const std::vector<std::string>& more) const {
    std::vector<std::string> arguments{"client", "add", name, "--clients", at("clients")};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const Outcome outcome = strapline(arguments);
    EXPECT_EQ(outcome.status, kDone) << outcome.err;
  }
  void log(const std::vector<MadeSet>& sets, const std::string& client = "medic") const {
    put_logbook(at("clients"), client, sets);
  }
  [[nodiscard]] Outcome run(std::vector<std::string> arguments) const {
    arguments.insert(arguments.end(), {"--clients", at("clients"), "--date", kToday});
    return strapline(arguments);
  }
  static MadeSet on(const std::string& date) {
    MadeSet set;
    set.date = date;
    return set;
  }
  static MadeSet half_range(const std::string& date, double load_kg) {
    MadeSet set = on(date);
    set.depth_deg = -20.0;
    set.range_deg = 70.0;
    set.load_kg = load_kg;
    return set;
  }
  static std::vector<MadeSet> earned() {
    return {on("2026-11-10"), on("2026-11-13"), on("2026-11-17"), on("2026-11-20")};
  }
};

TEST_F(OnALadder, NextProposesTheStepThatIsEarned) {
  log(earned());
  const Outcome outcome = run({"next", "medic"});
  EXPECT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("Stands on step 3 of 6: Squat to parallel, body weight"));
  EXPECT_THAT(
      outcome.out,
      HasSubstr("Go on to the next step: Squat to parallel, loaded, beginning with 2.5 kg"));
  EXPECT_THAT(outcome.out, HasSubstr("Stop on pain."));
  const auto json = run({"next", "medic", "--json"}).json()["ladders"][0];
  EXPECT_EQ(json["proposal"], "go on");
  EXPECT_EQ(json["to_step"], "parallel_loaded");
  for (const auto& finding : json["findings"]) {
    EXPECT_EQ(finding["state"], "met") << finding["rule"];
    EXPECT_FALSE(finding["source"].get<std::string>().empty());
  }
}

TEST_F(OnALadder, AcceptPutsTheClientOnTheStepAndNothingElse) {
  log(earned());
  EXPECT_THAT(run({"next", "medic", "--accept"}).out,
              HasSubstr("accepted: medic now stands on parallel_loaded"));
  const auto client =
      strapline({"client", "show", "medic", "--json", "--clients", at("clients")}).json();
  EXPECT_EQ(client["ladder"]["squat"], "parallel_loaded");
  EXPECT_EQ(client["body"]["mass_kg"], 62.0);
  // On the new step nothing has been done yet.
  const Outcome again = run({"next", "medic", "--accept"});
  EXPECT_THAT(again.out, HasSubstr("Hold: no set of this step is in the logbook yet"));
  EXPECT_THAT(again.out, HasSubstr("nothing to accept"));
}

TEST_F(OnALadder, PainStopsAndTheLimitOfTheClientsFileCounts) {
  auto sets = earned();
  sets.back().pain = 2.0;
  log(sets);
  const Outcome stopped = run({"next", "medic"});
  EXPECT_EQ(stopped.status, kDone);
  EXPECT_THAT(stopped.out, HasSubstr("Stop: pain above the limit was logged."));
  EXPECT_THAT(stopped.out, HasSubstr("see a licensed professional"));
  (void)strapline({"client", "edit", "medic", "--pain-limit", "2", "--clients", at("clients")});
  EXPECT_EQ(run({"next", "medic", "--json"}).json()["ladders"][0]["proposal"], "go on");
}

TEST_F(OnALadder, WhatIsNotLoggedIsAskedFor) {
  auto sets = earned();
  sets.back().pain.reset();
  sets.back().reserve.reset();
  log(sets);
  const Outcome outcome = run({"next", "medic"});
  EXPECT_THAT(outcome.out, HasSubstr("Hold:"));
  EXPECT_THAT(outcome.out, HasSubstr("strapline note --pain"));
  EXPECT_THAT(outcome.out, HasSubstr("strapline note --rir"));
}

TEST_F(OnALadder, AnOwnLadderAndAnOwnAimGoFirst) {
  log(earned());
  std::filesystem::create_directories(at("clients/medic/aims"));
  put("clients/medic/aims/squat_parallel.toml",
      "name = \"squat_parallel\"\ntitle = \"Deep\"\nmovement = \"squat\"\npurpose = \"x\"\n"
      "strictness = 0.8\n[bands.thigh_depth]\nat_least = 20\nwhy = \"x\"\nsource = \"x\"\n");
  EXPECT_EQ(run({"next", "medic", "--json"}).json()["ladders"][0]["proposal"], "step back");
}

TEST_F(OnALadder, RefusesWhatItCannotDoInOneLine) {
  EXPECT_THAT(run({"next", "pilot"}).err, HasSubstr("no client 'pilot' is set up"));
  EXPECT_THAT(run({"next", "medic", "--ladder", "stairs"}).err, HasSubstr("no ladder 'stairs'"));
  EXPECT_THAT(run({"next", "medic", "--ladder", "push_up"}).err,
              HasSubstr("medic stands on no step of the ladder 'push_up'"));
  EXPECT_THAT(run({"next", "medic", "--date", "tomorrow"}).err, HasSubstr("--date"));
  add_client("pilot", {});
  const Outcome none = run({"next", "pilot"});
  EXPECT_EQ(none.status, kFailed);
  EXPECT_THAT(none.err, HasSubstr("pilot stands on no ladder"));
  EXPECT_EQ(strapline({"next"}).status, kUsage);
}

TEST_F(OnALadder, LaddersAreListed) {
  const Outcome outcome = strapline({"next", "--ladders"});
  EXPECT_EQ(outcome.status, kDone);
  EXPECT_THAT(outcome.out, HasSubstr("pull_up – Pull-up, from assisted to loaded"));
  EXPECT_THAT(outcome.out, HasSubstr("to_box"));
}

// However long ago the last session was, it is not forgotten: neither the pause nor the pain in it.
TEST_F(OnALadder, ALongPauseForgetsNoSession) {
  auto sets = earned();
  for (MadeSet& set : sets) set.date = "2026-06" + set.date.substr(7);
  log(sets);
  EXPECT_EQ(run({"next", "medic", "--json"}).json()["ladders"][0]["proposal"], "step back");
  EXPECT_THAT(run({"roster"}).out, HasSubstr("2026-06-20"));
  sets.back().pain = 4.0;
  log(sets);
  EXPECT_EQ(run({"next", "medic", "--json"}).json()["ladders"][0]["proposal"], "stop");
  EXPECT_THAT(run({"plan", "medic", "--movement", "squat", "--load", "0", "--range", "90"}).out,
              HasSubstr("Stop: pain 4/10 was logged on 2026-06-20"));
}

TEST_F(OnALadder, NamesThatNothingHasAreRefusedWhenTheyAreEntered) {
  const auto edit = [&](const char* option, const char* value) {
    return strapline({"client", "edit", "medic", option, value, "--clients", at("clients")}).err;
  };
  EXPECT_THAT(edit("--ladder", "squat=moon"),
              HasSubstr("--ladder: the ladder 'squat' has no step"));
  EXPECT_THAT(edit("--ladder", "stairs=one"), HasSubstr("--ladder: no ladder 'stairs'"));
  EXPECT_THAT(edit("--most-load", "swim=5"), HasSubstr("--most-load: no movement 'swim'"));
}

// --- plan ---

TEST_F(OnALadder, PlanPlacesASetAndLaysOutTheWay) {
  log({half_range("2026-11-10", 60), half_range("2026-11-13", 60), on("2026-11-17"),
       on("2026-11-20")});
  const auto planned = [&](const std::string& load, const std::string& range) {
    const Outcome outcome =
        run({"plan", "medic", "--movement", "squat", "--load", load, "--range", range, "--json"});
    EXPECT_EQ(outcome.status, kDone) << outcome.err;
    return outcome.json()["planned"];
  };
  EXPECT_EQ(planned("60", "70")["placing"], "inside");
  EXPECT_EQ(planned("65", "70")["placing"], "at the edge");
  const auto deep = planned("60", "90");
  EXPECT_EQ(deep["placing"], "outside");
  EXPECT_TRUE(deep["new_load"]);
  EXPECT_FALSE(deep["new_range"]);
  EXPECT_EQ(deep["steps"].back()["load_kg"], 60.0);
  EXPECT_THAT(run({"plan", "medic", "--movement", "squat", "--load", "60", "--range", "90"}).out,
              HasSubstr("The smallest steps that lead there"));
}

TEST_F(OnALadder, PlanSaysWhatItDoesNotKnow) {
  auto sets = earned();
  sets[0].load_kg.reset();
  sets[1].pain.reset();
  sets[2].pain = 3.0;
  log(sets);
  const Outcome outcome = run({"plan", "medic", "--movement", "squat"});
  EXPECT_THAT(outcome.out, HasSubstr("1 set left out: the load was not logged"));
  EXPECT_THAT(outcome.out, HasSubstr("1 set counted though pain was not logged"));
  EXPECT_THAT(outcome.out, HasSubstr("1 set left out: pain above the limit"));
  EXPECT_THAT(run({"plan", "medic", "--movement", "squat", "--load", "20"}).err,
              HasSubstr("--range: a planned set has a load and a range"));
  EXPECT_THAT(run({"plan", "medic", "--movement", "squat", "--measure", "lowering_s"}).err,
              HasSubstr("\"lowering_s\" is no angle that is measured"));
  EXPECT_THAT(run({"plan", "medic", "--movement", "swim"}).err, HasSubstr("swim"));
}

// --- letter ---

TEST_F(OnALadder, LetterTellsAndProves) {
  log(earned());
  const Outcome outcome = run({"letter", "medic", "--evidence"});
  EXPECT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("Feedback for the medic, 2026-11-20"));
  EXPECT_THAT(outcome.out, HasSubstr("You have earned the next step"));
  EXPECT_THAT(outcome.out, HasSubstr("set_4.h5"));
  const Outcome html = run({"letter", "medic", "--format", "html", "-o", at("medic.html")});
  EXPECT_THAT(html.out, HasSubstr("a draft"));
  EXPECT_THAT(bytes_of("medic.html"), HasSubstr("<h2>The next step</h2>"));
  EXPECT_EQ(run({"letter", "medic", "--format", "word"}).status, kUsage);
  // What the coach edited is not written over.
  EXPECT_THAT(run({"letter", "medic", "-o", at("medic.html")}).err,
              HasSubstr("there is a letter already"));
  EXPECT_EQ(run({"letter", "medic", "-o", at("medic.html"), "--overwrite"}).status, kDone);
}

TEST_F(OnALadder, LetterSpeaksWithOnesOwnPhrases) {
  log(earned());
  put("own.toml", "[letter]\nheading_next = \"Und jetzt\"\n");
  EXPECT_THAT(run({"letter", "medic", "--phrases", at("own.toml")}).out, HasSubstr("Und jetzt"));
  put("own.toml", "[letter]\nheading_last = \"x\"\n");
  EXPECT_THAT(run({"letter", "medic", "--phrases", at("own.toml")}).err,
              HasSubstr("own.toml:2: 'heading_last' is not known here"));
  put("whole.toml", strapline({"letter", "--print-phrases"}).out);
  EXPECT_EQ(run({"letter", "medic", "--phrases", at("whole.toml")}).out,
            run({"letter", "medic"}).out);
}

TEST_F(OnALadder, LetterWithoutALadderIsAboutTheLatestSet) {
  add_client("pilot", {});
  EXPECT_THAT(run({"letter", "pilot"}).err, HasSubstr("no set of pilot is in the logbook"));
  log(earned(), "pilot");
  const Outcome outcome = run({"letter", "pilot"});
  EXPECT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("one set, 10 full reps"));
  EXPECT_THAT(outcome.out, Not(HasSubstr("The next step")));
}

// --- roster ---

TEST_F(OnALadder, RosterShowsEverybodyAndWhoNeedsAttention) {
  log(earned());
  add_client("pilot", {});
  add_client("stretcher lead", {"--ladder", "squat=parallel"});
  auto sore = earned();
  sore.back().pain = 5.0;
  log(sore, "stretcher lead");
  const Outcome outcome = run({"roster"});
  EXPECT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("2026-11-20 (5 days)"));
  EXPECT_THAT(outcome.out, HasSubstr("no set yet"));
  EXPECT_THAT(outcome.out,
              HasSubstr("3 clients: 1 stopped, 0 more with a caution, 1 more with a step due"));
  const auto json = run({"roster", "--json", "--attention"}).json()["clients"];
  ASSERT_EQ(json.size(), 2U);
  EXPECT_EQ(json[0]["client"], "medic");
  EXPECT_EQ(json[0]["ladders"][0]["proposal"], "go on");
  EXPECT_EQ(json[1]["cautions"][0], "pain_above_limit");
}

TEST_F(OnALadder, RosterGoesOnBehindALogbookThatCannotBeRead) {
  add_client("pilot", {});
  put("clients/medic/logbook.h5", "no logbook at all");
  const Outcome outcome = run({"roster"});
  EXPECT_EQ(outcome.status, kFailed);
  EXPECT_THAT(outcome.err, HasSubstr("logbook.h5"));
  EXPECT_THAT(outcome.out, HasSubstr("pilot"));
}

}  // namespace
}  // namespace strapline::cli::testing
