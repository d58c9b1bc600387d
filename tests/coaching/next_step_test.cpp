#include "strapline/coaching/next_step.hpp"

#include <functional>

#include <gtest/gtest.h>

namespace strapline::coaching {
namespace {

constexpr double kDegree = 0.017453292519943295;
constexpr double kToday = 20000.0;

StepSet done(double days_ago, int reps) {
  StepSet set;
  set.name = "set-" + std::to_string(static_cast<int>(days_ago));
  set.day = kToday - days_ago;
  set.load_kg = 0.0;
  set.reps_in_reserve = 3.0;
  set.pain = 0.0;
  set.full_reps = reps;
  set.verdict = SetVerdict::met;
  return set;
}

Change change_of(double difference_deg, double mdc_deg) {
  Change change;
  change.difference = difference_deg * kDegree;
  change.mdc95 = mdc_deg * kDegree;
  change.low = change.difference - change.mdc95;
  change.high = change.difference + change.mdc95;
  return change;
}

Envelope used_to(double range_deg, double load_kg) {
  std::vector<HandledSet> sets;
  for (const double days_ago : {9.0, 5.0}) {
    sets.push_back({"set", kToday - days_ago, load_kg, 0.0, range_deg * kDegree, 5});
  }
  return make_envelope(sets, kToday);
}

/// Squat to parallel with body weight: every rule is met, and load is the next step.
NextInput earned() {
  NextInput input;
  input.ladder = *load_ladder("squat");
  input.step = *find_step(input.ladder, "parallel");
  input.sets = {done(9, 10), done(5, 9), done(5, 10)};
  input.today = kToday;
  input.body_mass_kg = 70.0;
  input.range_change = change_of(2, 6);
  input.envelope = used_to(85, 0);
  return input;
}

/// Squat to parallel with 40 kg, everything met.
NextInput earned_loaded(double load_kg) {
  NextInput input = earned();
  input.step = *find_step(input.ladder, "parallel_loaded");
  for (StepSet& set : input.sets) set.load_kg = load_kg;
  return input;
}

RuleState state_of(const NextStep& next, NextRule rule) {
  for (const RuleFinding& finding : next.findings) {
    if (finding.rule == rule) return finding.state;
  }
  ADD_FAILURE() << "no such finding";
  return RuleState::missing;
}

TEST(NextStep, IsEarnedWhereEveryRuleIsMet) {
  const NextStep next = decide_next(earned());
  EXPECT_EQ(next.proposal, Proposal::go_on);
  EXPECT_EQ(next.what, Proposed::step);
  EXPECT_EQ(next.to_step, next.step + 1);
  EXPECT_EQ(*next.to_load_kg, 2.5);  // one pair of the smallest plates
  for (const RuleFinding& finding : next.findings) {
    EXPECT_EQ(finding.state, RuleState::met);
    EXPECT_FALSE(finding.source.empty());
  }
}

struct RuleCase {
  const char* what;
  NextRule rule;
  std::function<void(NextInput&)> change;
  RuleState state;
  Proposal proposal;
};

void expect_cases(const std::vector<RuleCase>& cases) {
  for (const RuleCase& c : cases) {
    NextInput input = earned();
    c.change(input);
    const NextStep next = decide_next(input);
    EXPECT_EQ(state_of(next, c.rule), c.state) << c.what;
    EXPECT_EQ(next.proposal, c.proposal) << c.what;
    if (next.proposal == Proposal::hold || next.proposal == Proposal::stop) {
      EXPECT_EQ(next.what, Proposed::nothing) << c.what;
    }
  }
}

TEST(NextStep, Pain) {
  const auto logged = [](double days_ago, double pain) {
    return LoggedPain{"lunge-set", "lunge", kToday - days_ago, pain, "left knee"};
  };
  expect_cases({
      {"any pain stops", NextRule::pain, [](auto& i) { i.sets[1].pain = 1.0; }, RuleState::not_met,
       Proposal::stop},
      {"at the agreed limit it does not", NextRule::pain,
       [](auto& i) {
         i.pain_limit = 2.0;
         i.sets[1].pain = 2.0;
       },
       RuleState::met, Proposal::go_on},
      {"above it does", NextRule::pain,
       [](auto& i) {
         i.pain_limit = 2.0;
         i.sets[1].pain = 2.5;
       },
       RuleState::not_met, Proposal::stop},
      {"in an earlier session of the step it is past", NextRule::pain,
       [](auto& i) { i.sets[0].pain = 4.0; }, RuleState::met, Proposal::go_on},
      {"in another movement, a week ago", NextRule::pain, [&](auto& i) { i.pain = {logged(7, 3)}; },
       RuleState::not_met, Proposal::stop},
      {"eight days ago", NextRule::pain, [&](auto& i) { i.pain = {logged(8, 3)}; }, RuleState::met,
       Proposal::go_on},
      {"elsewhere, with no set of the step", NextRule::pain,
       [&](auto& i) {
         i.sets.clear();
         i.pain = {logged(2, 3)};
       },
       RuleState::not_met, Proposal::stop},
      {"not logged", NextRule::pain, [](auto& i) { i.sets[2].pain.reset(); }, RuleState::missing,
       Proposal::hold},
  });
}

TEST(NextStep, SaysWhereItHurt) {
  NextInput input = earned();
  input.pain = {{"lunge-set", "lunge", kToday - 1, 3.0, "left knee"},
                {"row-set", "row", kToday - 2, 2.0, ""}};
  const NextStep next = decide_next(input);
  EXPECT_EQ(next.findings.front().rule, NextRule::pain);
  EXPECT_EQ(next.findings.front().place, "left knee");
  EXPECT_EQ(*next.findings.front().found, 3.0);
  EXPECT_EQ(next.findings.front().sets, std::vector<std::string>{"lunge-set"});
}

TEST(NextStep, ALongBreakStepsBack) {
  expect_cases({
      {"29 days", NextRule::recent, [](auto& i) { i.today += 24.0; }, RuleState::not_met,
       Proposal::step_back},
      {"28 days", NextRule::recent, [](auto& i) { i.today += 23.0; }, RuleState::met,
       Proposal::go_on},
  });
}

TEST(NextStep, Sessions) {
  expect_cases({
      {"one day is one session", NextRule::sessions, [](auto& i) { i.sets.erase(i.sets.begin()); },
       RuleState::missing, Proposal::hold},
      {"one set only", NextRule::sessions, [](auto& i) { i.sets.resize(1); }, RuleState::missing,
       Proposal::hold},
      {"no set at all", NextRule::sessions, [](auto& i) { i.sets.clear(); }, RuleState::missing,
       Proposal::hold},
      {"two are enough", NextRule::sessions, [](auto&) {}, RuleState::met, Proposal::go_on},
  });
}

TEST(NextStep, WithinTheAim) {
  const auto all = [](SetVerdict verdict) {
    return [verdict](NextInput& input) {
      for (StepSet& set : input.sets) set.verdict = verdict;
    };
  };
  expect_cases({
      {"one set outside holds", NextRule::within_aim,
       [](auto& i) { i.sets[1].verdict = SetVerdict::not_met; }, RuleState::not_met,
       Proposal::hold},
      {"every set outside in both sessions steps back", NextRule::within_aim,
       all(SetVerdict::not_met), RuleState::not_met, Proposal::step_back},
      {"too close to call", NextRule::within_aim,
       [](auto& i) { i.sets[2].verdict = SetVerdict::cannot_tell; }, RuleState::cannot_tell,
       Proposal::hold},
      {"not measured", NextRule::within_aim, all(SetVerdict::not_judged), RuleState::missing,
       Proposal::hold},
  });
}

TEST(NextStep, TwoForTwo) {
  expect_cases({
      {"one rep short of two extra, with effort known", NextRule::repetitions,
       [](auto& i) {
         i.sets[2].full_reps = 8;
         i.sets[2].reps_in_reserve = 1.0;
       },
       RuleState::not_met, Proposal::hold},
      {"as many in reserve", NextRule::repetitions,
       [](auto& i) {
         i.sets[2].full_reps = 8;
         i.sets[2].reps_in_reserve = 2.0;
       },
       RuleState::met, Proposal::go_on},
      {"only the last set of a day counts", NextRule::repetitions,
       [](auto& i) { i.sets[1].full_reps = 5; }, RuleState::met, Proposal::go_on},
      {"one session only had them", NextRule::repetitions,
       [](auto& i) {
         i.sets[0].full_reps = 8;
         i.sets[0].reps_in_reserve = 0.0;
       },
       RuleState::not_met, Proposal::hold},
      {"effort not logged", NextRule::repetitions,
       [](auto& i) {
         i.sets[2].full_reps = 8;
         i.sets[2].reps_in_reserve.reset();
       },
       RuleState::missing, Proposal::hold},
      {"short in both, with nothing left", NextRule::repetitions,
       [](auto& i) {
         for (StepSet& set : i.sets) {
           set.full_reps = 7;
           set.reps_in_reserve = 0.0;
         }
       },
       RuleState::not_met, Proposal::step_back},
      {"short in both, with something left", NextRule::repetitions,
       [](auto& i) {
         for (StepSet& set : i.sets) set.full_reps = 7;
       },
       RuleState::not_met, Proposal::hold},
  });
}

// Zourdos 2016: RPE 10 is no rep in reserve, 9 is one, 8 two.
TEST(NextStep, Reserve) {
  expect_cases({
      {"one is not two", NextRule::reserve, [](auto& i) { i.sets[2].reps_in_reserve = 1.0; },
       RuleState::not_met, Proposal::hold},
      {"two are", NextRule::reserve, [](auto& i) { i.sets[2].reps_in_reserve = 2.0; },
       RuleState::met, Proposal::go_on},
      {"RPE 8 is two", NextRule::reserve,
       [](auto& i) {
         i.sets[2].reps_in_reserve.reset();
         i.sets[2].effort_rpe = 8.0;
       },
       RuleState::met, Proposal::go_on},
      {"RPE 9 is one", NextRule::reserve,
       [](auto& i) {
         i.sets[2].reps_in_reserve.reset();
         i.sets[2].effort_rpe = 9.0;
       },
       RuleState::not_met, Proposal::hold},
      {"no effort logged", NextRule::reserve, [](auto& i) { i.sets[2].reps_in_reserve.reset(); },
       RuleState::missing, Proposal::hold},
  });
}

// A loss of more than 10° must lie outside the 95 % interval.
TEST(NextStep, RangeKept) {
  expect_cases({
      {"fell by more than the noise", NextRule::range_kept,
       [](auto& i) { i.range_change = change_of(-8, 6); }, RuleState::not_met, Proposal::hold},
      {"fell a little, and not by 10°", NextRule::range_kept,
       [](auto& i) { i.range_change = change_of(-3, 6); }, RuleState::met, Proposal::go_on},
      {"may have fallen", NextRule::range_kept, [](auto& i) { i.range_change = change_of(-5, 6); },
       RuleState::cannot_tell, Proposal::hold},
      {"too noisy to tell", NextRule::range_kept,
       [](auto& i) { i.range_change = change_of(1, 12); }, RuleState::cannot_tell, Proposal::hold},
      {"not measured twice", NextRule::range_kept, [](auto& i) { i.range_change.reset(); },
       RuleState::missing, Proposal::hold},
  });
}

TEST(NextStep, OpenCautions) {
  expect_cases({
      {"the knee line", NextRule::cautions,
       [](auto& i) { i.cautions = {CautionKind::knee_line_with_fatigue}; }, RuleState::not_met,
       Proposal::hold},
      {"none", NextRule::cautions, [](auto&) {}, RuleState::met, Proposal::go_on},
  });
}

TEST(NextStep, WhatTheNextStepAsks) {
  expect_cases({
      {"not far enough yet", NextRule::entry_range, [](auto& i) { i.envelope = used_to(69, 0); },
       RuleState::not_met, Proposal::hold},
      {"just far enough", NextRule::entry_range, [](auto& i) { i.envelope = used_to(71, 0); },
       RuleState::met, Proposal::go_on},
      {"no logbook of it", NextRule::entry_range, [](auto& i) { i.envelope.reset(); },
       RuleState::missing, Proposal::hold},
      {"nothing that counts in it", NextRule::entry_range,
       [](auto& i) { i.envelope = make_envelope({}, kToday); }, RuleState::missing, Proposal::hold},
  });
}

// --- load: one new thing at a time, +2–10 % (ACSM 2009) ---

TEST(NextStep, OnALoadedStepTheLoadRisesFirst) {
  const NextStep next = decide_next(earned_loaded(30));
  EXPECT_EQ(next.proposal, Proposal::go_on);
  EXPECT_EQ(next.what, Proposed::load);
  EXPECT_EQ(next.to_step, next.step);
  EXPECT_EQ(*next.to_load_kg, 32.5);
}

TEST(NextStep, WhereAPlateIsTooMuchRepsComeFirst) {
  const NextStep next = decide_next(earned_loaded(10));
  EXPECT_EQ(next.what, Proposed::reps);
  EXPECT_EQ(*next.to_reps, 11);
  EXPECT_FALSE(next.to_load_kg);
  NextInput many = earned_loaded(10);
  for (StepSet& set : many.sets) set.full_reps = 12;
  EXPECT_EQ(decide_next(many).what, Proposed::load);
  EXPECT_EQ(*decide_next(many).to_load_kg, 12.5);
}

// A lighter set at the end earns nothing for the heavy one.
TEST(NextStep, ABackOffSetEarnsNoMoreLoad) {
  NextInput input = earned_loaded(30);
  for (StepSet& set : input.sets) {
    set.full_reps = 4;
    set.reps_in_reserve = 2.0;
  }
  StepSet light = input.sets.back();
  light.load_kg = 15.0;
  light.full_reps = 12;
  light.reps_in_reserve = 4.0;
  input.sets.push_back(light);
  const NextStep next = decide_next(input);
  EXPECT_EQ(next.proposal, Proposal::hold);
  EXPECT_EQ(state_of(next, NextRule::repetitions), RuleState::not_met);
}

// Two-for-two is two sessions with one load: one with more is the first with that.
TEST(NextStep, AJumpInLoadBeginsAnew) {
  NextInput input = earned_loaded(15);
  input.sets.back().load_kg = 30.0;
  const NextStep next = decide_next(input);
  EXPECT_EQ(next.proposal, Proposal::hold);
  EXPECT_EQ(state_of(next, NextRule::sessions), RuleState::missing);
}

TEST(NextStep, TheAgreedLoadGoesBeforeTheLadder) {
  NextInput below = earned_loaded(30);
  below.load_limit_kg = 32.5;
  EXPECT_EQ(decide_next(below).proposal, Proposal::go_on);
  NextInput next_above = earned_loaded(30);
  next_above.load_limit_kg = 31.0;
  const NextStep held = decide_next(next_above);
  EXPECT_EQ(held.proposal, Proposal::hold);
  EXPECT_FALSE(held.to_load_kg);
  EXPECT_EQ(state_of(held, NextRule::load_agreed), RuleState::not_met);
  NextInput above = earned_loaded(30);
  above.load_limit_kg = 20.0;
  const NextStep back = decide_next(above);
  EXPECT_EQ(back.proposal, Proposal::step_back);
  EXPECT_EQ(*back.to_load_kg, 20.0);
}

TEST(StandingPain, CountsForAWeekAndInTheLastSessionOfItsMovement) {
  const std::vector<LoggedPain> history = {{"a", "lunge", kToday - 30, 4.0, ""},
                                           {"b", "squat", kToday - 20, 5.0, "knee"},
                                           {"c", "lunge", kToday - 10, 0.0, ""},
                                           {"d", "row", kToday - 3, 1.0, ""},
                                           {"e", "row", kToday - 1, 0.0, ""}};
  const auto standing = standing_pain(history, kToday, 0.0);
  ASSERT_EQ(standing.size(), 2U);
  EXPECT_EQ(standing[0].set, "b");  // no squat since
  EXPECT_EQ(standing[1].set, "d");  // within the week
  EXPECT_EQ(standing_pain(history, kToday, 4.5).size(), 1U);
}

TEST(NextStep, AtTheStepsLoadTheNextStepIsProposedWithoutIt) {
  const NextStep next = decide_next(earned_loaded(35));  // half of 70 kg
  EXPECT_EQ(next.what, Proposed::step);
  EXPECT_EQ(earned().ladder.steps[next.to_step].name, "below_parallel");
  EXPECT_FALSE(next.to_load_kg);  // new range: the load stays behind
}

TEST(NextStep, WithoutBodyMassTheStepHasNoEnd) {
  NextInput input = earned_loaded(35);
  input.body_mass_kg.reset();
  const NextStep next = decide_next(input);
  EXPECT_EQ(next.proposal, Proposal::hold);
  EXPECT_EQ(state_of(next, NextRule::load_goal), RuleState::missing);
}

TEST(NextStep, SteppingBackTakesLoadOffBeforeTheStepChanges) {
  NextInput input = earned_loaded(40);
  for (StepSet& set : input.sets) set.verdict = SetVerdict::not_met;
  const NextStep lighter = decide_next(input);
  EXPECT_EQ(lighter.proposal, Proposal::step_back);
  EXPECT_EQ(lighter.what, Proposed::load);
  EXPECT_EQ(*lighter.to_load_kg, 35.0);  // 0.9 of 40 in whole plates
  for (StepSet& set : input.sets) set.load_kg = 2.5;
  const NextStep below = decide_next(input);
  EXPECT_EQ(below.what, Proposed::step);
  EXPECT_EQ(below.to_step + 1, below.step);
}

TEST(NextStep, AtTheTopThereIsNothingToPropose) {
  NextInput input = earned_loaded(70);
  input.step = input.ladder.steps.size() - 1;
  const NextStep next = decide_next(input);
  EXPECT_TRUE(next.top);
  EXPECT_EQ(next.proposal, Proposal::hold);
  EXPECT_EQ(next.what, Proposed::nothing);
}

TEST(NextStep, NeverProposesLoadAndRangeTogether) {
  for (const std::string& name : built_in_ladders()) {
    NextInput input = earned();
    input.ladder = *load_ladder(name);
    for (std::size_t step = 0; step + 1 < input.ladder.steps.size(); ++step) {
      input.step = step;
      input.envelope = used_to(110, 0);
      const auto& goal = input.ladder.steps[step].exit.load;
      for (StepSet& set : input.sets) {
        set.load_kg = goal ? *kilograms(*goal, input.body_mass_kg) : 0.0;
        set.full_reps = 12;
      }
      const NextStep next = decide_next(input);
      ASSERT_EQ(next.what, Proposed::step) << name << " " << step;
      const Novelty brings = input.ladder.steps[next.to_step].brings;
      EXPECT_EQ(next.to_load_kg.has_value(), brings == Novelty::load) << name << " " << step;
    }
  }
}

}  // namespace
}  // namespace strapline::coaching
