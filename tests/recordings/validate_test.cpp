#include "strapline/recordings/validate.hpp"

#include <cmath>
#include <functional>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

std::string complaint(const std::function<void(Recording&)>& change) {
  Recording recording = testing::full_recording();
  change(recording);
  const auto found = problems(recording);
  EXPECT_LE(found.size(), 1U);
  const auto valid = validate(recording);
  EXPECT_EQ(valid.has_value(), found.empty());
  return valid ? std::string() : valid.error().line();
}

TEST(Validate, TakesWhatIsRight) {
  EXPECT_EQ(complaint([](Recording&) {}), "");
  EXPECT_EQ(complaint([](Recording& r) { r.description.load_kg = 0.0; }), "");
  EXPECT_EQ(complaint([](Recording& r) { r.description.effort_rpe = 1.0; }), "");
  EXPECT_EQ(complaint([](Recording& r) { r.description.pain = 10.0; }), "");
  EXPECT_EQ(complaint([](Recording& r) { r.body.height = 0.5; }), "");
  EXPECT_EQ(complaint([](Recording& r) { r.description.started_utc = "2026-11-25T08:00:00.250Z"; }),
            "");
  EXPECT_EQ(complaint([](Recording& r) { r = testing::bare_recording(); }), "");
}

TEST(Validate, NamesWhatIsWrong) {
  EXPECT_EQ(complaint([](Recording& r) { r.description.load_kg = -5.0; }),
            "load: -5 kg cannot be right; give 0 kg or more");
  EXPECT_EQ(complaint([](Recording& r) { r.description.load_kg = NAN; }).substr(0, 5), "load:");
  EXPECT_EQ(complaint([](Recording& r) { r.description.effort_rpe = 10.5; }),
            "effort: 10.5 cannot be right; give 1 to 10");
  EXPECT_THAT(complaint([](Recording& r) { r.description.effort_rpe = 0.5; }), HasSubstr("effort"));
  EXPECT_THAT(complaint([](Recording& r) { r.description.pain = -1.0; }), HasSubstr("pain"));
  EXPECT_THAT(complaint([](Recording& r) { r.description.pain = 11.0; }), HasSubstr("pain"));
  EXPECT_THAT(complaint([](Recording& r) { r.description.reps_in_reserve = -1.0; }),
              HasSubstr("reserve"));
  EXPECT_THAT(complaint([](Recording& r) { r.description.client.clear(); }), HasSubstr("client"));
  EXPECT_THAT(complaint([](Recording& r) { r.description.started_utc = "25.11.2026"; }),
              HasSubstr("write it as 2026-11-25T08:00:00Z"));
  EXPECT_EQ(complaint([](Recording& r) { r.body.height = 178.0; }),
            "height: 178 m cannot be right; give 0.5 to 2.6 m");
  EXPECT_THAT(complaint([](Recording& r) { r.body.height = 0.49; }), HasSubstr("height"));
  EXPECT_THAT(complaint([](Recording& r) { r.body.foot = 0.0; }), HasSubstr("foot length"));
}

TEST(Validate, NamesPartsThatCannotBe) {
  EXPECT_THAT(complaint([](Recording& r) {
                r.parts.still = dsp::Interval{13.0, 13.0};
              }),
              HasSubstr("the still part ends at 13 s, not after its start at 13 s"));
  EXPECT_THAT(complaint([](Recording& r) {
                r.parts.align = dsp::Interval{14.0, 13.0};
              }),
              HasSubstr("give FROM:TO with FROM before TO"));
  EXPECT_THAT(complaint([](Recording& r) { r.parts.set->to_s += 60.0; }),
              AllOf(HasSubstr("the set part"), HasSubstr("lies outside the recording")));
  EXPECT_THAT(complaint([](Recording& r) { r.parts.set->from_s = -1.0; }), HasSubstr("outside"));
  EXPECT_THAT(complaint([](Recording& r) {
                r.parts.still_after = dsp::Interval{NAN, 1.0};
              }),
              HasSubstr("still after"));
}

TEST(Validate, NamesStrapsThatCannotBe) {
  EXPECT_THAT(complaint([](Recording& r) { r.straps[1].placement = r.straps[0].placement; }),
              HasSubstr("left_thigh: two straps are on this placement"));
  EXPECT_THAT(complaint([](Recording& r) { r.straps[1].t[50] = r.straps[1].t[49]; }),
              HasSubstr("chest: the time does not increase at sample 51"));
  EXPECT_THAT(complaint([](Recording& r) { r.straps[1].t[50] = NAN; }), HasSubstr("sample 51"));
}

TEST(Validate, ListsThePlacements) {
  EXPECT_EQ(parse_placement("right_shank")->segment, dsp::Segment::shank);
  const auto unknown = parse_placement("knee");
  ASSERT_FALSE(unknown);
  EXPECT_THAT(unknown.error().line(), AllOf(HasSubstr("unknown placement \"knee\"; use one of "),
                                            HasSubstr("left_thigh, ")));
}

}  // namespace
}  // namespace strapline::recordings
