#include <cmath>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "../../dsp/src/arm_heading.hpp"
#include "../../dsp/src/segment_motion.hpp"
#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::VectorXd;
using testing::kDegree;

const VectorXd kTimes = uniform_times(0.0, 60.0, 20.0);

/// A segment that stands upright for a minute; `heading(t)`, rad, is what its strap shows.
template <class Heading>
PreparedStrap standing(const Heading& heading) {
  PreparedStrap strap;
  strap.alignment = SegmentAlignment{};
  strap.motion.known.assign(static_cast<std::size_t>(kTimes.size()), 1);
  for (const double t : kTimes) {
    strap.motion.q_world_from_sensor.push_back(turn_about_vertical(heading(t)));
  }
  follow_segment(strap);
  return strap;
}

double heading_at(const PreparedStrap& strap, double t) {
  return heading_of(strap.q_world_from_segment[static_cast<std::size_t>(nearest_index(kTimes, t))]);
}

double u_at(const PreparedStrap& strap, double t) {
  return strap.heading_u[nearest_index(kTimes, t)];
}

/// Still for two seconds around 2 s, then a second's stop every six seconds.
std::vector<Interval> stops() {
  std::vector<Interval> parts{{1.0, 3.0}};
  for (double t = 12.0; t < 60.0; t += 6.0) parts.push_back({t - 0.5, t + 0.5});
  return parts;
}

TEST(HeadingDrift, OfALegGoesWithTheLineThroughItsStops) {
  PreparedStrap strap = standing([](double t) { return 0.1 * kDegree * (t - 2.0); });
  remove_heading_drift(strap, kTimes, 2.0, stops(), kDegree);
  EXPECT_NEAR(heading_at(strap, 50.0), 0.0, 0.01 * kDegree);
  // Nothing is uncertain where zero is; further on the line is, by less than how people stand.
  EXPECT_NEAR(u_at(strap, 2.0), 0.0, 1e-9);
  EXPECT_GT(u_at(strap, 50.0), 1.9 * u_at(strap, 26.0));
  EXPECT_LT(u_at(strap, 50.0), 0.5 * kDegree);
}

TEST(HeadingDrift, WhatScattersMoreThanPeopleStandCountsInFull) {
  const auto scatters = [](double size) {
    return standing([size](double t) { return t < 5.0 || std::fmod(t, 12.0) < 3.0 ? 0.0 : size; });
  };
  PreparedStrap usual = scatters(1.0 * kDegree), slipped = scatters(8.0 * kDegree);
  for (PreparedStrap* strap : {&usual, &slipped}) {
    remove_heading_drift(*strap, kTimes, 2.0, stops(), kDegree);
  }
  EXPECT_LT(u_at(usual, 26.0), 0.6 * kDegree);
  EXPECT_GT(u_at(slipped, 26.0), 2.0 * kDegree);
}

std::vector<PreparedStrap> remove_from(std::vector<PreparedStrap> straps) {
  ResolvedParts parts;
  parts.still = Interval{1.0, 3.0};
  parts.still_after = Interval{57.0, 59.0};
  std::vector<Interval> starts = stops();
  starts.erase(starts.begin());
  remove_arm_heading_drift(straps, kTimes, parts, starts);
  return straps;
}

// A client who faces elsewhere after each rep, by degrees, leaves the straps' drift against each
// other as plain as one who does not.
TEST(HeadingDrift, OfArmsIsSeenBesideAClientWhoFacesElsewhere) {
  const auto faces = [](double t) { return 6.0 * kDegree * std::sin(0.9 * std::floor(t / 6.0)); };
  const double rate = 0.05 * kDegree;
  const auto straps = remove_from(
      {standing(faces), standing([&](double t) { return faces(t) + rate * (t - 2.0); })});
  const auto apart = [&](double t) { return heading_at(straps[1], t) - heading_at(straps[0], t); };
  EXPECT_NEAR(apart(50.0), 0.0, 0.15 * kDegree);  // without: 2.4°
  EXPECT_LT(u_at(straps[0], 50.0), 1.2 * kDegree);
}

TEST(HeadingDrift, OfArmsIsTheLessKnownTheLessPosturesRepeat) {
  const auto wavers = [](double size) {
    return [size](double t) { return size * std::sin(2.3 * std::floor(t / 6.0)); };
  };
  const auto steady = remove_from({standing(wavers(0.0)), standing(wavers(0.5 * kDegree))});
  const auto loose = remove_from({standing(wavers(0.0)), standing(wavers(10.0 * kDegree))});
  EXPECT_GT(u_at(loose[1], 50.0), 2.0 * u_at(steady[1], 50.0));
}

// One body repeats in all its straps: few reps tell more of it the more straps there are.
TEST(HeadingDrift, OfArmsIsTheBetterKnownTheMoreStrapsRepeat) {
  const auto repeats = [](std::size_t count) {
    return remove_from(std::vector<PreparedStrap>(count, standing([](double) { return 0.0; })));
  };
  const auto two = repeats(2), seven = repeats(7);
  EXPECT_LT(u_at(seven[0], 50.0), 0.8 * u_at(two[0], 50.0));
  std::vector<PreparedStrap> straps(6, standing([](double) { return 0.0; }));
  straps.push_back(
      standing([](double t) { return 10.0 * kDegree * std::sin(2.3 * std::floor(t / 6.0)); }));
  const auto one_loose = remove_from(straps);
  EXPECT_GT(u_at(one_loose[6], 50.0), 1.5 * u_at(one_loose[0], 50.0));
  EXPECT_GT(u_at(one_loose[0], 50.0), u_at(seven[0], 50.0));
}

}  // namespace
}  // namespace strapline::dsp
