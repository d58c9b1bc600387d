#include "strapline/coaching/letter.hpp"

#include <algorithm>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording_judgement.hpp"
#include "strapline/coaching/wording_next.hpp"

#include "judging_words.hpp"

namespace strapline::coaching {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

constexpr double kDegree = 0.017453292519943295;

dsp::Rep rep_with(double depth_deg, double knee_cm) {
  dsp::Rep rep;
  rep.measures["thigh_depth_left"] =
      dsp::MeasuredValue{depth_deg * kDegree, 1.0 * kDegree, dsp::Unit::radian};
  rep.measures["knee_line_distance_left"] =
      dsp::MeasuredValue{knee_cm / 100.0, 0.004, dsp::Unit::metre};
  rep.measures["lowering_s"] = dsp::MeasuredValue{1.5, 0.02, dsp::Unit::second};
  return rep;
}

LetterSet letter_set(const std::string& name, double depth_deg, double knee_cm) {
  LetterSet set;
  set.name = name;
  set.load_kg = 0.0;
  set.reps_in_reserve = 3.0;
  set.full_reps = 5;
  JudgedSet judged{"squat", "", {0.0, {}}, {}, {}};
  judged.reps.assign(5, rep_with(depth_deg, knee_cm));
  set.judgement = judge_set(*load_aim("squat_parallel"), judged);
  return set;
}

RuleFinding finding(NextRule rule, RuleState state) {
  RuleFinding finding;
  finding.rule = rule;
  finding.state = state;
  finding.found = 1.0;
  finding.wanted = 2.0;
  finding.source = "common practice";
  finding.place = "left knee";
  return finding;
}

LetterInput input_with(Proposal proposal) {
  LetterInput input;
  input.client = "medic";
  input.day = 20000.0;
  input.ladder = *load_ladder("squat");
  NextStep next;
  next.proposal = proposal;
  next.step = next.to_step = 2;
  next.findings = {finding(NextRule::within_aim, RuleState::met)};
  input.next = next;
  input.aim = *load_aim("squat_parallel");
  input.session = {letter_set("one.h5", 2.0, 2.0)};
  input.movement_cautions = {"Stop on pain."};
  input.movement = "squat";
  return input;
}

std::string text_of(const LetterInput& input, bool evidence = false) {
  return render_letter(compose_letter(input, english_phrases()), LetterFormat::text, evidence,
                       english_phrases());
}

std::vector<NextRule> all_rules() {
  return {NextRule::pain,        NextRule::recent,      NextRule::sessions,
          NextRule::within_aim,  NextRule::repetitions, NextRule::reserve,
          NextRule::range_kept,  NextRule::cautions,    NextRule::load_goal,
          NextRule::load_agreed, NextRule::entry_range, NextRule::entry_load};
}

TEST(Letter, EverySentenceRestsOnAFinding) {
  for (const Proposal proposal :
       {Proposal::go_on, Proposal::hold, Proposal::step_back, Proposal::stop}) {
    LetterInput input = input_with(proposal);
    for (const NextRule rule : all_rules()) {
      input.next->findings.push_back(finding(rule, RuleState::not_met));
      input.next->findings.push_back(finding(rule, RuleState::missing));
    }
    const Letter letter = compose_letter(input, english_phrases());
    EXPECT_GT(letter.sentences.size(), 6U);
    for (const LetterSentence& sentence : letter.sentences) {
      EXPECT_FALSE(sentence.text.empty());
      ASSERT_FALSE(sentence.evidence.empty()) << sentence.text;
      for (const std::string& one : sentence.evidence) EXPECT_FALSE(one.empty()) << sentence.text;
    }
  }
}

TEST(Letter, EveryMarkLeadsToAFindingInTheList) {
  const std::string text = text_of(input_with(Proposal::go_on), true);
  EXPECT_THAT(text, HasSubstr("\nEvidence\n"));
  const Letter letter = compose_letter(input_with(Proposal::go_on), english_phrases());
  for (const LetterSentence& sentence : letter.sentences) {
    EXPECT_THAT(text, HasSubstr("- " + sentence.text + " ["));
    for (const std::string& one : sentence.evidence)
      EXPECT_THAT(text, HasSubstr("] " + one + "\n"));
  }
  EXPECT_THAT(text_of(input_with(Proposal::go_on)), Not(HasSubstr("Evidence")));
}

TEST(Letter, SaysWhatWasEarnedHeldOrStopped) {
  LetterInput earned = input_with(Proposal::go_on);
  earned.next->what = Proposed::load;
  earned.next->load_kg = 40.0;
  earned.next->to_load_kg = 42.5;
  EXPECT_THAT(text_of(earned), HasSubstr("42.5 kg instead of 40 kg"));

  LetterInput held = input_with(Proposal::hold);
  held.next->findings.push_back(finding(NextRule::range_kept, RuleState::cannot_tell));
  EXPECT_THAT(text_of(held), HasSubstr("cannot be told from measuring noise yet"));

  LetterInput stopped = input_with(Proposal::stop);
  stopped.next->findings.push_back(finding(NextRule::pain, RuleState::not_met));
  stopped.next->findings.push_back(finding(NextRule::reserve, RuleState::missing));
  const std::string text = text_of(stopped);
  EXPECT_THAT(text, HasSubstr("Please stop this exercise now, and see a licensed professional"));
  EXPECT_THAT(text, HasSubstr("left knee"));
  // Nothing else is asked for, and no cue is given, where it hurts.
  EXPECT_THAT(text, Not(HasSubstr("how many more reps")));
  EXPECT_THAT(text, Not(HasSubstr("To think of")));
}

TEST(Letter, OutsideLeadsToACueInTheDirectionThatIsMeant) {
  LetterInput shallow = input_with(Proposal::hold);
  shallow.session = {letter_set("one.h5", -20.0, 2.0)};
  EXPECT_THAT(text_of(shallow), HasSubstr("5 of 5 reps were below it"));
  EXPECT_THAT(text_of(shallow), HasSubstr("Sit down a little further"));
  LetterInput inward = input_with(Proposal::hold);
  inward.session = {letter_set("one.h5", 2.0, 9.0)};
  EXPECT_THAT(text_of(inward), HasSubstr("Push the floor apart"));
  EXPECT_THAT(text_of(input_with(Proposal::hold)), HasSubstr("Keep it just as it is."));
}

TEST(Letter, CautionsStandWithTheirSet) {
  LetterInput input = input_with(Proposal::stop);
  Caution pain;
  pain.kind = CautionKind::pain_above_limit;
  pain.to = 4.0;
  pain.source = "the limit agreed with the client";
  input.session.front().cautions = {pain};
  const std::string text = text_of(input, true);
  EXPECT_THAT(text, HasSubstr("Pain of 4 of 10 was noted."));
  EXPECT_THAT(text, HasSubstr("one.h5: Pain 4/10 was logged"));
}

// A ladder without pain of its own, or no ladder at all: the pain stops all the same.
TEST(Letter, PainElsewhereStopsEveryLetter) {
  LetterInput input = input_with(Proposal::go_on);
  input.pain = {{"lunge.h5", "lunge", 19999.0, 6.0, "right knee"}};
  EXPECT_THAT(text_of(input), HasSubstr("Please stop this exercise now"));
  EXPECT_THAT(text_of(input), HasSubstr("pain of 6 of 10 (right knee)"));
  EXPECT_THAT(text_of(input), Not(HasSubstr("You have earned")));
  EXPECT_THAT(text_of(input), Not(HasSubstr("Keep it just as it is")));
  input.next.reset();
  input.ladder.reset();
  EXPECT_THAT(text_of(input), HasSubstr("Please stop this exercise now"));
}

TEST(Letter, PainWithinTheLimitIsToldAndABandThatNobodyMeasuredKeepsNothing) {
  LetterInput input = input_with(Proposal::hold);
  input.session.front().pain = 2.0;
  EXPECT_THAT(text_of(input), HasSubstr("You noted pain of 2 of 10"));
  JudgedSet blind{"squat", "", {0.0, {}}, {}, {}};
  blind.reps.assign(5, rep_with(2.0, 2.0));
  for (dsp::Rep& rep : blind.reps) rep.measures.erase("knee_line_distance_left");
  input.session.front().judgement = judge_set(*load_aim("squat_parallel"), blind);
  EXPECT_EQ(input.session.front().judgement->verdict, SetVerdict::met);
  EXPECT_EQ(whole_verdict(*input.session.front().judgement), SetVerdict::not_judged);
  EXPECT_THAT(text_of(input), Not(HasSubstr("Keep it just as it is")));
}

TEST(Letter, WithoutASetSaysSo) {
  LetterInput input = input_with(Proposal::hold);
  input.session.clear();
  EXPECT_THAT(text_of(input), HasSubstr("No set was recorded for this step yet."));
}

TEST(Letter, FormatsEscapeWhatTheyWouldTakeForTheirOwn) {
  LetterInput input = input_with(Proposal::hold);
  input.movement_cautions = {"Less than <b>*half*</b> & no more."};
  const Letter letter = compose_letter(input, english_phrases());
  const auto as = [&](LetterFormat format) {
    return render_letter(letter, format, true, english_phrases());
  };
  EXPECT_THAT(as(LetterFormat::html), HasSubstr("&lt;b&gt;*half*&lt;/b&gt; &amp; no more."));
  EXPECT_THAT(as(LetterFormat::html), HasSubstr("<!doctype html>"));
  EXPECT_THAT(as(LetterFormat::markdown), HasSubstr("\\<b\\>\\*half\\*"));
  EXPECT_THAT(as(LetterFormat::markdown), HasSubstr("\n## What was seen\n"));
}

// --- phrases ---

TEST(Phrases, CoverEveryRuleCautionMeasureAndCue) {
  const Phrases& english = english_phrases();
  for (const NextRule rule : all_rules()) {
    for (const char* state : {"_not_met", "_missing"}) {
      const std::string key = "because." + std::string(rule_name(rule)) + state;
      const bool cannot_be = key == "because.recent_missing" || key == "because.sessions_not_met" ||
                             key == "because.cautions_missing" ||
                             key == "because.load_goal_not_met" ||
                             key == "because.load_agreed_missing";
      EXPECT_NE(english.has(key), cannot_be) << key;
    }
  }
  for (const CautionKind kind :
       {CautionKind::pain_above_limit, CautionKind::load_above_agreed,
        CautionKind::range_beyond_agreed, CautionKind::new_load_at_new_range,
        CautionKind::jump_in_load, CautionKind::jump_in_range, CautionKind::knee_line_with_fatigue,
        CautionKind::knee_line_with_load, CautionKind::sudden_loss_of_range,
        CautionKind::sudden_loss_of_velocity}) {
    EXPECT_TRUE(english.has("caution." + std::string(caution_name(kind))));
  }
  for (const MeasureInfo& measure : all_measures()) {
    const std::string name(measure.name);
    EXPECT_TRUE(english.has("measures." + name)) << name;
    EXPECT_TRUE(english.has("cues." + name + "_over")) << name;
    EXPECT_TRUE(english.has("cues." + name + "_under")) << name;
  }
}

TEST(Phrases, OfOnesOwnReplaceTheBuiltInOnesAndTheRestStays) {
  const auto own = parse_phrases("[cues]\nkeep = \"Genau so weiter.\"\n", "deutsch.toml");
  ASSERT_TRUE(own) << own.error().line();
  EXPECT_EQ(own->say("cues.keep"), "Genau so weiter.");
  EXPECT_EQ(own->say("seen.over"), english_phrases().say("seen.over"));
  EXPECT_TRUE(parse_phrases(english_phrases_text(), "english.toml"));
}

TEST(Phrases, AFaultyFileGetsTheLineAndTheReason) {
  const auto line = [](const std::string& toml) {
    const auto phrases = parse_phrases(toml, "mine.toml");
    return phrases ? std::string("no failure") : phrases.error().line();
  };
  EXPECT_THAT(line("[cues]\nkept = \"x\"\n"), HasSubstr("mine.toml:2: 'kept' is not known here"));
  EXPECT_THAT(line("[advice]\nx = \"x\"\n"), HasSubstr("mine.toml:1: 'advice' is not known here"));
  EXPECT_THAT(line("[seen]\nload = \"{pounds} lb\"\n"),
              HasSubstr("mine.toml:2: nothing fills in {pounds}; use of {kg}"));
  EXPECT_THAT(line("[cues]\nkeep = 3\n"), HasSubstr("mine.toml:2: 'keep' is not a text"));
}

TEST(Phrases, NoneJudges) {
  for (const auto& [key, text] : english_phrases().texts()) {
    EXPECT_TRUE(testing::judging_words(text).empty()) << key;
  }
  EXPECT_EQ(names_in("a {b} c {d"), std::vector<std::string>{"b"});
}

}  // namespace
}  // namespace strapline::coaching
