// Straps that slip in the middle of a set: how often it is told, by how much, and how often it is
// told of sets in which nothing slipped. Readings of synthetic squats are turned from one moment on
// as the strap would be.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <iostream>
#include <optional>
#include <string>

#include <gtest/gtest.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/synthetic/random.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;
using dsp::Segment;
using dsp::Side;
using Eigen::Vector3d;
using synthetic::deg;

struct Drawn {
  synthetic::SyntheticSet set;
  dsp::SetInput input;
};

/// A random squat set of at least six reps.
Drawn draw_set(std::uint64_t seed) {
  synthetic::SquatSetParams params = synthetic::random_squat_params(seed);
  params.reps = std::max(params.reps, 6);
  synthetic::StrapSetup setup;
  setup.seed = seed;
  Drawn drawn{synthetic::synthesize_set(params, setup).value(), {}};
  drawn.input = to_set_input(drawn.set.recording, "").value();
  return drawn;
}

/// From `from_s` on the sensor sits turned by `turn` (sensor frame), within 0.4 s.
void slip(dsp::StrapSeries& strap, double from_s, const Vector3d& turn) {
  constexpr double kTime = 0.4;
  for (Eigen::Index i = 0; i < strap.data.size(); ++i) {
    const double share = (strap.data.t[i] - from_s) / kTime;
    if (share <= 0.0) continue;
    const Eigen::Quaterniond back = dsp::exp_rotation(-std::min(1.0, share) * turn);
    strap.data.acc.col(i) = back * strap.data.acc.col(i);
    strap.data.gyr.col(i) = back * strap.data.gyr.col(i);
    if (share < 1.0) strap.data.gyr.col(i) += turn / kTime;
  }
}

enum class Way { tilt, twist };

/// Turn of the strap, sensor frame: about the limb's long axis, or about one across it.
Vector3d turn_of(const Drawn& drawn, std::size_t strap, Way way, double angle,
                 synthetic::Random& random) {
  const Vector3d along =
      drawn.set.straps[strap].segment_from_sensor.transpose() * Vector3d::UnitY();
  if (way == Way::twist) return angle * along;
  const Vector3d across = along.cross(random.direction()).normalized();
  return angle * across;
}

/// What a note says of a slip of this strap.
struct Told {
  int after_rep = 0;
  double tilt = 0.0, twist = 0.0;  ///< rad
};

std::optional<Told> told_of(const dsp::SetAnalysis& seen, const std::string& placement) {
  const std::string begin = "the strap on " + placement + " slipped after rep ";
  for (const std::string& note : seen.notes) {
    if (!note.starts_with(begin)) continue;
    Told told;
    double tilt_u = 0.0, tilt = 0.0, twist = 0.0;
    const int read = std::sscanf(note.c_str() + begin.size(),
                                 "%d: tilted by %lf ± %lf°, turned about the limb by %lf",
                                 &told.after_rep, &tilt, &tilt_u, &twist);
    EXPECT_EQ(read, 4) << note;
    told.tilt = deg(tilt);
    told.twist = deg(twist);
    return told;
  }
  return std::nullopt;
}

bool any_told(const dsp::SetAnalysis& seen) {
  return std::any_of(seen.notes.begin(), seen.notes.end(), [](const std::string& note) {
    return note.starts_with("the strap on") &&
           (note.find(" slipped after rep ") != std::string::npos ||
            note.find("sits differently") != std::string::npos);
  });
}

struct Tally {
  int sets = 0, told = 0, right_strap = 0, right_rep = 0;
  double squares = 0.0;  ///< rad², of the told size against the true one
};

Tally tally(Way way, double angle, std::uint64_t first_seed, int sets) {
  Tally result;
  for (int k = 0; k < sets; ++k) {
    Drawn drawn = draw_set(first_seed + static_cast<std::uint64_t>(k));
    synthetic::Random random(first_seed + static_cast<std::uint64_t>(k), 77);
    const auto strap = static_cast<std::size_t>(random.integer(2, 5));  // thighs and shanks
    const int after = random.integer(2, static_cast<int>(drawn.set.reps.size()) - 2);
    const auto& rep = drawn.set.reps[static_cast<std::size_t>(after - 1)];
    slip(drawn.input.straps[strap], rep.end_s, turn_of(drawn, strap, way, angle, random));
    const auto seen = dsp::analyse_set(drawn.input).value();
    ++result.sets;
    result.told += any_told(seen) ? 1 : 0;
    const auto told = told_of(seen, dsp::to_string(drawn.input.straps[strap].placement));
    if (!told) continue;
    ++result.right_strap;
    result.right_rep += told->after_rep == after ? 1 : 0;
    const double size = way == Way::tilt ? told->tilt : told->twist;
    result.squares += (size - angle) * (size - angle);
  }
  return result;
}

Tally say(Way way, double degrees, std::uint64_t seed, int sets) {
  const Tally t = tally(way, deg(degrees), seed, sets);
  std::cout << (way == Way::tilt ? "tilt " : "twist ") << degrees << "°: told in " << t.right_strap
            << " of " << t.sets << ", after the right rep in " << t.right_rep << ", RMS error "
            << std::sqrt(t.squares / std::max(1, t.right_strap)) / deg(1.0) << "°\n";
  return t;
}

TEST(StrapSlip, LargeOnesAreToldOfTheRightStrapAndByHowMuch) {
  constexpr int kSets = 25;
  for (const Way way : {Way::tilt, Way::twist}) {
    for (const double angle : {10.0, 20.0}) {
      const Tally t = say(way, angle, 8000, kSets);
      EXPECT_GE(t.right_strap, kSets - 1) << angle;
      EXPECT_GE(t.right_rep, t.right_strap - 2) << angle;
      EXPECT_LT(std::sqrt(t.squares / t.right_strap), deg(2.5)) << angle;
    }
    say(way, 5.0, 8000, kSets);
  }
}

TEST(StrapSlip, WithoutASlipNothingIsTold) {
  constexpr int kSets = 100;
  int told = 0;
  for (std::uint64_t seed = 8200; seed < 8200 + kSets; ++seed) {
    const auto seen = dsp::analyse_set(draw_set(seed).input).value();
    told += any_told(seen) ? 1 : 0;
  }
  std::cout << "no slip: told in " << told << " of " << kSets << '\n';
  EXPECT_LE(told, 1);
}

TEST(StrapSlip, AToldSlipMakesTheMeasuresLessCertainAndIsSaid) {
  Drawn drawn = draw_set(8100);
  const auto before = dsp::analyse_set(drawn.input).value();
  synthetic::Random random(1, 77);
  const auto& rep = drawn.set.reps[2];
  slip(drawn.input.straps[2], rep.end_s, turn_of(drawn, 2, Way::tilt, deg(15.0), random));
  const auto after = dsp::analyse_set(drawn.input).value();
  const auto u = [](const dsp::SetAnalysis& set) {
    return std::get<dsp::MeasuredValue>(set.reps.back().measures.at("thigh_depth_left")).u;
  };
  ASSERT_EQ(dsp::to_string(after.straps[2].placement), "left_thigh");
  EXPECT_GT(u(after), u(before) + deg(3.0));
  const bool said = std::any_of(after.notes.begin(), after.notes.end(), [](const auto& note) {
    return note.starts_with("the strap on left_thigh slipped after rep 3");
  });
  EXPECT_TRUE(said);
}

}  // namespace
}  // namespace strapline::cli
