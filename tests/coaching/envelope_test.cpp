#include "strapline/coaching/envelope.hpp"

#include <gtest/gtest.h>

#include "strapline/coaching/plan.hpp"

namespace strapline::coaching {
namespace {

constexpr double kDegree = 0.017453292519943295;
constexpr double kToday = 20000.0;

/// Five reps, half of them at least to this range, so many days ago, without pain.
HandledSet set_of(double days_ago, std::optional<double> load_kg, double range_deg,
                  std::optional<double> pain = 0.0) {
  return {"set", kToday - days_ago, load_kg, pain, range_deg * kDegree, 5};
}

PlacedSet plan(const std::vector<HandledSet>& sets, double load_kg, double range_deg) {
  return place_set(make_envelope(sets, kToday), {load_kg, range_deg * kDegree});
}

// A client who is used to 60 kg at half range and to an empty hand at full range.
std::vector<HandledSet> half_and_full() {
  return {set_of(10, 60, 70), set_of(7, 60, 70), set_of(6, 0, 100), set_of(3, 0, 100)};
}

// --- what counts ---

TEST(Envelope, WhatWentFurtherCountsForEveryRangeOnTheWay) {
  const Envelope envelope = make_envelope(half_and_full(), kToday);
  EXPECT_EQ(handled_at(envelope, 65 * kDegree).accustomed->load_kg, 60.0);
  EXPECT_EQ(handled_at(envelope, 65 * kDegree).days, 4);
  EXPECT_EQ(handled_at(envelope, 95 * kDegree).accustomed->load_kg, 0.0);
  EXPECT_FALSE(handled_at(envelope, 106 * kDegree).accustomed);
}

TEST(Envelope, BinsGoUpToTheFurthestRange) {
  const Envelope envelope = make_envelope(half_and_full(), kToday);
  ASSERT_FALSE(envelope.bins.empty());
  EXPECT_NEAR(envelope.bins.front().from / kDegree, 70.0, 0.1);
  EXPECT_NEAR(envelope.bins.back().from / kDegree, 100.0, 0.1);
  for (std::size_t i = 1; i < envelope.bins.size(); ++i) {
    EXPECT_LE(envelope.bins[i].accustomed->counts_as_kg,
              envelope.bins[i - 1].accustomed->counts_as_kg);
  }
}

// Two days make it accustomed; one does not; nothing is not a zero.
TEST(Envelope, OnceIsNotAccustomed) {
  const Envelope twice = make_envelope({set_of(9, 40, 90), set_of(2, 40, 90)}, kToday);
  const Envelope once = make_envelope({set_of(2, 40, 90)}, kToday);
  const Envelope same_day = make_envelope({set_of(2, 40, 90), set_of(2, 40, 90)}, kToday);
  EXPECT_TRUE(handled_at(twice, 90 * kDegree).accustomed);
  EXPECT_FALSE(handled_at(once, 90 * kDegree).accustomed);
  EXPECT_TRUE(handled_at(once, 90 * kDegree).heaviest);
  EXPECT_FALSE(handled_at(same_day, 90 * kDegree).accustomed);
  EXPECT_TRUE(make_envelope({}, kToday).bins.empty());
}

TEST(Envelope, ASetOfOneRepIsNotEnough) {
  HandledSet single = set_of(3, 40, 95);
  single.reps = 1;
  const Envelope envelope = make_envelope({single}, kToday);
  EXPECT_TRUE(envelope.evidence.empty());
  EXPECT_EQ(envelope.gaps.range_not_measured, 1);
  single.reps = 2;
  EXPECT_EQ(make_envelope({single}, kToday).evidence.size(), 1U);
}

TEST(Envelope, ASetAlmostThatFarReachedIt) {
  const Envelope envelope = make_envelope({set_of(3, 40, 90)}, kToday);
  EXPECT_EQ(handled_at(envelope, 94.9 * kDegree).sets, 1);
  EXPECT_EQ(handled_at(envelope, 95.1 * kDegree).sets, 0);
}

struct PainCase {
  std::optional<double> pain;
  double limit;
  bool counts;
};

TEST(Envelope, PainAboveTheLimitIsNoEvidenceAndPainNotLoggedIsSaid) {
  for (const PainCase& c : {PainCase{1.0, 0.0, false}, PainCase{0.0, 0.0, true},
                            PainCase{2.0, 2.0, true}, PainCase{2.5, 2.0, false}}) {
    EnvelopeParameters parameters;
    parameters.pain_limit = c.limit;
    const Envelope envelope = make_envelope({set_of(3, 40, 90, c.pain)}, kToday, parameters);
    EXPECT_EQ(envelope.evidence.size(), c.counts ? 1U : 0U) << *c.pain << " of " << c.limit;
    EXPECT_EQ(envelope.gaps.with_pain, c.counts ? 0 : 1);
  }
  const Envelope unknown = make_envelope({set_of(3, 40, 90, std::nullopt)}, kToday);
  EXPECT_EQ(unknown.evidence.size(), 1U);
  EXPECT_EQ(unknown.gaps.pain_not_logged, 1);
}

TEST(Envelope, WhatIsNotKnownIsLeftOutAndCounted) {
  HandledSet blind = set_of(3, 40, 90);
  blind.range.reset();
  const Envelope envelope = make_envelope({set_of(3, std::nullopt, 90), blind}, kToday);
  EXPECT_TRUE(envelope.evidence.empty());
  EXPECT_EQ(envelope.gaps.load_not_logged, 1);
  EXPECT_EQ(envelope.gaps.range_not_measured, 1);
}

TEST(Envelope, LoadsFadeWhenUnusedAndAreForgottenInTheEnd) {
  const auto counts_as = [](double days_ago) {
    const Envelope envelope =
        make_envelope({set_of(days_ago, 60, 90), set_of(days_ago + 1, 60, 90)}, kToday);
    const EnvelopeBin bin = handled_at(envelope, 90 * kDegree);
    return bin.heaviest ? bin.heaviest->counts_as_kg : -1.0;
  };
  EXPECT_NEAR(counts_as(27), 60.0, 1e-9);
  EXPECT_NEAR(counts_as(28), 60.0, 1e-9);
  EXPECT_NEAR(counts_as(42), 54.0, 1e-9);  // two weeks beyond the fourth: 10 % less
  EXPECT_NEAR(counts_as(83), 60.0 * (1.0 - 0.05 * 55.0 / 7.0), 1e-9);
  EXPECT_EQ(counts_as(85), -1.0);
}

TEST(Envelope, WhatComesAfterTodayIsPassedOver) {
  EXPECT_TRUE(make_envelope({set_of(-2, 40, 90)}, kToday).evidence.empty());
}

// --- where a plan lies ---

struct PlanCase {
  const char* what;
  double load_kg, range_deg;
  Placing placing;
  bool new_range, new_load;
};

TEST(Plan, EachPlacingHasACaseThatTriggersItAndOneThatJustDoesNot) {
  for (const PlanCase& c : {
           PlanCase{"what is done", 60, 70, Placing::inside, false, false},
           PlanCase{"less of it", 40, 65, Placing::inside, false, false},
           PlanCase{"a tenth more", 66, 70, Placing::at_edge, false, true},
           PlanCase{"a little more than a tenth", 68, 70, Placing::outside, false, true},
           PlanCase{"one bin further, empty hand", 0, 110, Placing::at_edge, true, false},
           PlanCase{"two bins further, empty hand", 0, 120, Placing::outside, true, false},
           PlanCase{"the load of half range at full range", 60, 100, Placing::outside, false, true},
           PlanCase{"both", 20, 120, Placing::outside, true, true},
           PlanCase{"both, each by one step", 5, 110, Placing::outside, true, true},
       }) {
    const PlacedSet placed = plan(half_and_full(), c.load_kg, c.range_deg);
    EXPECT_EQ(placed.placing, c.placing) << c.what;
    EXPECT_EQ(placed.new_range, c.new_range) << c.what;
    EXPECT_EQ(placed.new_load, c.new_load) << c.what;
  }
}

TEST(Plan, WithoutEvidenceNothingIsKnown) {
  EXPECT_EQ(plan({}, 20, 90).placing, Placing::nothing_known);
  EXPECT_EQ(plan({set_of(100, 60, 90)}, 20, 90).placing, Placing::nothing_known);
}

TEST(Plan, WhatWasDoneOnceIsAtTheEdge) {
  const PlacedSet once = plan({set_of(3, 40, 90)}, 40, 90);
  EXPECT_EQ(once.placing, Placing::at_edge);
  EXPECT_TRUE(once.once);
  const PlacedSet load_once =
      plan({set_of(9, 40, 90), set_of(6, 40, 90), set_of(3, 50, 90)}, 50, 90);
  EXPECT_EQ(load_once.placing, Placing::at_edge);
  EXPECT_TRUE(load_once.once);
  EXPECT_TRUE(load_once.new_load);
}

// --- the way there ---

double greatest_load_step(const PlacedSet& placed, double from) {
  double greatest = 0.0;
  for (const PlanStep& step : placed.steps) {
    greatest = std::max(greatest, step.set.load_kg - from);
    from = step.set.load_kg;
  }
  return greatest;
}

TEST(Plan, TheWayEndsAtThePlanAndBringsOneThingAtATime) {
  const PlacedSet placed = plan(half_and_full(), 60, 125);
  ASSERT_FALSE(placed.steps.empty());
  double load = 0.0;
  double range = 100 * kDegree;
  for (const PlanStep& step : placed.steps) {
    const bool further = step.set.range > range + 1e-9;
    const bool heavier = step.set.load_kg > load + 1e-9;
    EXPECT_NE(further, heavier);
    EXPECT_EQ(step.brings, further ? NewThing::range : NewThing::load);
    EXPECT_LE(step.set.range - range, 13 * kDegree);
    load = step.set.load_kg;
    range = step.set.range;
  }
  EXPECT_NEAR(placed.steps.back().set.range / kDegree, 125, 1e-9);
  EXPECT_EQ(placed.steps.back().set.load_kg, 60.0);
  // A tenth of the 60 kg that the client handles at half range.
  EXPECT_LE(greatest_load_step(placed, 0.0), 6.0);
}

TEST(Plan, AJumpInRangeIsDoneWithALightLoadFirst) {
  const std::vector<HandledSet> sets = {set_of(9, 60, 80), set_of(3, 60, 80)};
  const PlacedSet placed = plan(sets, 60, 110);
  ASSERT_GE(placed.steps.size(), 3U);
  EXPECT_EQ(placed.steps.front().brings, NewThing::range);
  EXPECT_EQ(placed.steps.front().set.load_kg, 40.0);  // 0.7 of 60 in whole plates
  EXPECT_EQ(placed.steps.back().set.load_kg, 60.0);
  // One bin at the load that is accustomed is one new thing.
  const PlacedSet small = plan(sets, 60, 90);
  EXPECT_EQ(small.placing, Placing::at_edge);
  EXPECT_EQ(small.steps.size(), 1U);
}

TEST(Plan, ALongWayIsCutAndSaysSo) {
  EnvelopeParameters parameters;
  parameters.most_steps = 3;
  const Envelope envelope =
      make_envelope({set_of(9, 20, 90), set_of(3, 20, 90)}, kToday, parameters);
  const PlacedSet placed = place_set(envelope, {60, 90 * kDegree});
  EXPECT_EQ(placed.steps.size(), 3U);
  EXPECT_TRUE(placed.steps_cut);
}

// ACSM 2009 position stand: +2–10 %.
TEST(NextLoad, LiesWithinTwoAndTenPercentWherePlatesAllow) {
  const EnvelopeParameters parameters;
  for (const double load : {25.0, 30.0, 42.5, 60.0, 100.0, 140.0}) {
    const PlanStep step = next_load(load, 1.0, parameters);
    EXPECT_GE(step.set.load_kg, 1.02 * load) << load;
    EXPECT_LE(step.set.load_kg, 1.10 * load + 1e-9) << load;
    EXPECT_FALSE(step.coarse) << load;
  }
  const PlanStep small = next_load(10.0, 1.0, parameters);
  EXPECT_EQ(small.set.load_kg, 12.5);
  EXPECT_TRUE(small.coarse);
}

}  // namespace
}  // namespace strapline::coaching
