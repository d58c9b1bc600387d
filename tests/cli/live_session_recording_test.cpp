#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/validate.hpp"

#include "live/session_recording.hpp"

namespace strapline::cli {
namespace {

/// 100 readings of 100 Hz; the first at common time `first_s`.
acquisition::StrapResult strap(const std::string& label, double first_s) {
  acquisition::StrapResult strap;
  strap.label = label;
  strap.identified = true;
  strap.identity.device_id = 0xFFFFFFFFFFFFFFF0ULL;
  strap.identity.tick_hz = 1'000'000;
  strap.identity.acc_scale_pico = 2'500'000'000;
  strap.identity.gyr_scale_pico = 1'000'000'000;
  strap.identity.full_scale_count = 32767;
  strap.rate_hz = 100.0;
  strap.clock.seconds_per_tick = 1e-6;
  strap.clock.offset_s = first_s - 5.0;
  strap.clock.skew_ppm = 12.0;
  strap.clock.offset_u_s = 3e-4;
  strap.link.batches = 13;
  for (std::int16_t i = 0; i < 100; ++i) {
    strap.ticks.push_back(5'000'000 + 10'000 * i);
    strap.counts.push_back({i, static_cast<std::int16_t>(-i), 3, 4, 5, INT16_MIN});
  }
  return strap;
}

SessionNotes notes() {
  SessionNotes notes;
  notes.description.client = "stretcher lead";
  notes.description.load_kg = 62.5;
  notes.description.started_utc = "2026-11-25T08:00:00Z";
  notes.body.height = 1.81;
  return notes;
}

TEST(SessionRecording, HoldsWhatTheSessionHeld) {
  acquisition::SessionResult session;
  session.straps = {strap("left_thigh", 3.25), strap("chest", 3.0)};
  session.marks = {{3.2, kStillMark}, {3.5, kSetMark}, {3.9, kPartsOver}};
  const auto made = to_recording(session, notes(), "live");
  ASSERT_TRUE(made) << made.error().line();
  const auto& recording = made->recording;
  EXPECT_TRUE(recordings::validate(recording));
  EXPECT_EQ(recording.source, "live");
  EXPECT_EQ(recording.description.load_kg, 62.5);
  EXPECT_EQ(recording.body.height, 1.81);
  ASSERT_EQ(recording.straps.size(), 2U);
  const auto& thigh = recording.straps[0];
  EXPECT_NEAR(thigh.t[0], 0.25, 1e-12);  // the chest's first reading is at 0
  EXPECT_NEAR(recording.straps[1].t[0], 0.0, 1e-12);
  EXPECT_NEAR(thigh.clock.offset_s + 5e6 * thigh.clock.seconds_per_tick, 0.25, 1e-12);
  EXPECT_EQ(thigh.counts(1, 99), -99);
  EXPECT_EQ(thigh.counts(5, 0), INT16_MIN);
  EXPECT_EQ(thigh.tick.back(), 5'990'000);
  EXPECT_NEAR(thigh.acc_scale, 2.5e-3, 1e-15);
  EXPECT_NEAR(thigh.gyr_scale, 1e-3, 1e-15);
  EXPECT_EQ(thigh.device_id, 0xFFFFFFFFFFFFFFF0ULL);
  EXPECT_EQ(thigh.full_scale_count, 32767);
  EXPECT_EQ(thigh.link.batches, 13U);
  ASSERT_TRUE(recording.parts.still && recording.parts.set);
  EXPECT_NEAR(recording.parts.still->from_s, 0.2, 1e-9);
  EXPECT_NEAR(recording.parts.still->to_s, 0.5, 1e-9);
  EXPECT_NEAR(recording.parts.set->to_s, 0.9, 1e-9);
  EXPECT_FALSE(recording.parts.still_after);
  EXPECT_TRUE(made->losses.empty());
  EXPECT_TRUE(made->whole);
}

TEST(SessionRecording, ThePartUnderWayEndsWithTheReadings) {
  acquisition::SessionResult session;
  session.straps = {strap("left_thigh", 3.0)};
  session.marks = {{3.5, kSetMark}};
  const auto made = to_recording(session, notes(), "live");
  ASSERT_TRUE(made);
  EXPECT_NEAR(made->recording.parts.set->to_s, 0.99, 1e-9);
}

TEST(SessionRecording, PartsBeyondTheReadingsAreCutWithAWord) {
  acquisition::SessionResult session;
  session.straps = {strap("left_thigh", 3.0)};
  SessionNotes timed = notes();
  timed.parts.still = dsp::Interval{0.0, 0.5};
  timed.parts.set = dsp::Interval{0.6, 30.0};
  timed.parts.still_after = dsp::Interval{30.0, 33.0};
  const auto made = to_recording(session, timed, "live");
  ASSERT_TRUE(made);
  EXPECT_NEAR(made->recording.parts.set->to_s, 0.99, 1e-9);
  EXPECT_FALSE(made->recording.parts.still_after);
  EXPECT_EQ(made->notes.size(), 2U);
}

TEST(SessionRecording, SaysWhatIsMissing) {
  acquisition::SessionResult session;
  session.straps = {strap("left_thigh", 3.0), strap("chest", 3.0), strap("elbow", 3.0)};
  session.straps[0].link.lost = 4;
  session.straps[1].ticks.clear();
  session.straps[1].counts.clear();
  const auto made = to_recording(session, notes(), "live");
  ASSERT_TRUE(made);
  EXPECT_EQ(made->recording.straps.size(), 1U);
  EXPECT_THAT(made->losses,
              ::testing::ElementsAre(::testing::HasSubstr("left_thigh: 4 batches"),
                                     ::testing::HasSubstr("chest"), ::testing::HasSubstr("elbow")));
  EXPECT_FALSE(made->whole) << "the journal must stay: it alone has the third strap's readings";
  session.straps.resize(2);
  session.straps[0].ticks.clear();
  session.straps[0].counts.clear();
  EXPECT_FALSE(to_recording(session, notes(), "live"));
}

TEST(SessionNotes, ComeBackFromTheJournal) {
  SessionNotes before = notes();
  before.description.notes = "two lines\n\"and quotes\"";
  before.description.pain = 0.0;
  before.body.foot = 0.27;
  before.parts.align = dsp::Interval{4.0, 9.5};
  const auto after = notes_from_json(to_json(before));
  ASSERT_TRUE(after);
  EXPECT_EQ(after->description.client, "stretcher lead");
  EXPECT_EQ(after->description.notes, before.description.notes);
  EXPECT_EQ(after->description.load_kg, 62.5);
  EXPECT_EQ(after->description.pain, 0.0);
  EXPECT_FALSE(after->description.effort_rpe);
  EXPECT_EQ(after->body.height, 1.81);
  EXPECT_EQ(after->body.foot, 0.27);
  EXPECT_EQ(after->parts.align->to_s, 9.5);
  EXPECT_FALSE(after->parts.still);
  EXPECT_FALSE(notes_from_json("{}"));
  EXPECT_FALSE(notes_from_json("[1, 2"));
  EXPECT_FALSE(notes_from_json(R"({"format":"strapline-session","client":5})"));
}

}  // namespace
}  // namespace strapline::cli
