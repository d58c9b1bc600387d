#include "strapline/coaching/wording.hpp"

#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "judging_words.hpp"

namespace strapline::coaching {
namespace {

using ::testing::HasSubstr;

constexpr double kDegree = std::numbers::pi / 180.0;

MeasureFinding finding(double before_deg, double after_deg, double sem_deg,
                       std::optional<double> smallest_deg) {
  MeasureFinding f;
  f.measure = "knee_flexion_left";
  f.unit = dsp::Unit::radian;
  f.values.resize(2);
  f.error.sem = sem_deg * kDegree;
  if (smallest_deg) f.smallest_that_matters = *smallest_deg * kDegree;
  f.baseline = ComparedSide{{0}, {before_deg * kDegree, 1}};
  f.latest = ComparedSide{{1}, {after_deg * kDegree, 1}};
  f.change = judge_change(f.baseline->mean, f.latest->mean, f.error, f.smallest_that_matters);
  return f;
}

TEST(Wording, NumbersAsPeopleReadThem) {
  EXPECT_EQ(format_value(0.032, dsp::Unit::metre), "3.2 cm");
  EXPECT_EQ(format_value(1.449, dsp::Unit::second), "1.45 s");
  EXPECT_EQ(format_difference(-5 * kDegree, dsp::Unit::radian), "-5.0°");
  EXPECT_EQ(format_difference(-1e-6, dsp::Unit::radian), "+0.0°");
  EXPECT_EQ(format_measured({96.1 * kDegree, 2 * kDegree, dsp::Unit::radian}), "96.1 ± 2.0°");
}

TEST(Wording, NotLoggedIsNotZero) {
  EXPECT_EQ(format_load(std::nullopt), "load not logged");
  EXPECT_EQ(format_load(0.0), "body weight");
  EXPECT_EQ(format_load(62.5), "62.5 kg");
  EXPECT_EQ(format_effort(std::nullopt, std::nullopt), "effort not logged");
  EXPECT_EQ(format_effort(std::nullopt, 2.0), "2 in reserve");
  EXPECT_EQ(format_pain(std::nullopt, ""), "pain not logged");
  EXPECT_EQ(format_pain(0.0, ""), "no pain");
  EXPECT_EQ(format_pain(2.0, "left knee"), "pain 2/10, left knee");
}

TEST(Wording, Verdicts) {
  EXPECT_EQ(say_change(finding(96, 110, 2, {})),
            "96.0° → 110.0° (+14.0°): changed; more than the 5.5° that measuring again can differ "
            "by.");
  EXPECT_THAT(say_change(finding(96, 96.5, 1, 5)),
              HasSubstr("unchanged; any difference lies within -2.3° to +3.3°, inside the ±5.0°"));
  EXPECT_THAT(say_change(finding(96, 101, 2, {})),
              HasSubstr("cannot tell yet; measuring again can differ by 5.5°. If the difference "
                        "stays as it is, 1 more set like the latest"));
  EXPECT_THAT(say_change(finding(96, 97, 2, {})), HasSubstr("naming the smallest difference"));
  EXPECT_THAT(say_change(finding(96, 100, 1, 20)), HasSubstr("Even so less than the 20.0°"));
}

TEST(Wording, SaysWhichErrorWasUsed) {
  EXPECT_THAT(say_error(finding(96, 97, 2, {})),
              HasSubstr("default for putting the straps on anew"));
}

TEST(Wording, NothingIsCalledWrong) {
  std::string all;
  for (const double after : {80.0, 96.2, 97.0, 101.0, 130.0}) {
    for (const std::optional<double> smallest : {std::optional<double>(), {5.0}, {50.0}}) {
      all +=
          say_change(finding(96, after, 2, smallest)) + say_error(finding(96, after, 2, smallest));
    }
  }
  all += std::string(how_to_read_u()) + std::string(thigh_depth_note()) + say_pain(3.0);
  EXPECT_THAT(testing::judging_words(all), ::testing::IsEmpty()) << all;
}

TEST(Wording, PainSendsToAProfessional) {
  EXPECT_THAT(say_pain(1.0), HasSubstr("licensed professional"));
  EXPECT_EQ(say_pain(0.0), "");
  EXPECT_EQ(say_pain(std::nullopt), "");
}

TEST(Wording, PainWithinAnAgreedLimitIsStillSaid) {
  EXPECT_THAT(say_pain(2.0, 2.0), HasSubstr("within the limit of 2 that was agreed"));
  EXPECT_THAT(say_pain(3.0, 2.0), HasSubstr("licensed professional"));
  EXPECT_EQ(say_pain(0.0, 2.0), "");
}

}  // namespace
}  // namespace strapline::coaching
