// Laws of the whole analysis, on simulated sets of both legs, of one leg and of the arms: nothing
// depends on the order of the straps, on when the recording began, on how a sensor is turned in its
// housing; the mirror exchanges left and right. Every measure of every rep is compared.

#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;
using dsp::Side;

class SetLaws : public ::testing::TestWithParam<std::string> {
 protected:
  /// The movement's usual straps, and straps on the feet of legs.
  [[nodiscard]] dsp::SetInput input() const {
    const auto params = synthetic::random_params(GetParam(), 7400).value();
    synthetic::StrapSetup setup = synthetic::usual_straps(params);
    setup.seed = 7400;
    if (!std::holds_alternative<synthetic::ArmSetParams>(params)) {
      setup.placements.push_back({dsp::Segment::foot, Side::left});
      setup.placements.push_back({dsp::Segment::foot, Side::right});
    }
    const auto set = synthetic::synthesize_set(params, setup).value();
    return to_set_input(set.recording, "").value();
  }
};

INSTANTIATE_TEST_SUITE_P(Movements, SetLaws,
                         ::testing::Values("squat", "split_squat", "lunge", "push_up"),
                         [](const auto& name) { return name.param; });

/// Names with left and right exchanged.
std::string other_side(const std::string& name) {
  if (name.ends_with("_left")) return name.substr(0, name.size() - 5) + "_right";
  if (name.ends_with("_right")) return name.substr(0, name.size() - 6) + "_left";
  return name;
}

/// What changes its sign in the mirror: differences of the sides.
bool odd_in_the_mirror(const std::string& name) {
  return name.find("_difference") != std::string::npos;
}

struct Comparison {
  double within = 1e-6;  ///< SI
  bool mirrored = false;
  double later_s = 0.0;
};

void expect_same_measure(const std::string& name, const dsp::Measure& one,
                         const dsp::Measure& other, const Comparison& how) {
  ASSERT_EQ(one.index(), other.index()) << name;
  if (one.index() != 0) return;
  const auto& a = std::get<dsp::MeasuredValue>(one);
  const auto& b = std::get<dsp::MeasuredValue>(other);
  if (name == "trunk_side_lean") {  // the largest in size: to which side is chance near upright
    EXPECT_NEAR(std::abs(a.value), std::abs(b.value), how.within) << name;
    return;
  }
  const double sign = how.mirrored && odd_in_the_mirror(name) ? -1.0 : 1.0;
  EXPECT_NEAR(a.value, sign * b.value, how.within) << name;
  EXPECT_NEAR(a.u, b.u, how.within) << name;
}

void expect_same(const dsp::SetAnalysis& one, const dsp::SetAnalysis& other,
                 const Comparison& how) {
  ASSERT_EQ(one.reps.size(), other.reps.size());
  ASSERT_GE(one.full_reps(), 3);
  for (std::size_t k = 0; k < one.reps.size(); ++k) {
    const dsp::Rep& a = one.reps[k];
    const dsp::Rep& b = other.reps[k];
    EXPECT_NEAR(a.start_s, b.start_s - how.later_s, 1e-3);
    EXPECT_NEAR(a.end_s, b.end_s - how.later_s, 1e-3);
    EXPECT_EQ(a.part, b.part);
    ASSERT_EQ(a.measures.size(), b.measures.size());
    for (const auto& [name, measure] : a.measures) {
      const std::string there = how.mirrored ? other_side(name) : name;
      ASSERT_TRUE(b.measures.contains(there)) << there;
      expect_same_measure(name, measure, b.measures.at(there), how);
    }
  }
}

TEST_P(SetLaws, TheOrderOfTheStrapsDoesNotMatter) {
  dsp::SetInput set = input();
  const auto one = dsp::analyse_set(set).value();
  std::reverse(set.straps.begin(), set.straps.end());
  const auto other = dsp::analyse_set(set).value();
  std::rotate(set.straps.begin(), set.straps.begin() + 2, set.straps.end());
  const auto third = dsp::analyse_set(set).value();
  expect_same(one, other, {1e-9});
  expect_same(one, third, {1e-9});
}

TEST_P(SetLaws, WhenTheRecordingBeganDoesNotMatter) {
  dsp::SetInput set = input();
  const auto one = dsp::analyse_set(set).value();
  constexpr double kLater = 7200.0;  // s
  for (dsp::StrapSeries& strap : set.straps) strap.data.t.array() += kLater;
  for (auto* part : {&set.parts.still, &set.parts.align, &set.parts.set, &set.parts.still_after}) {
    if (!*part) continue;
    (*part)->from_s += kLater;
    (*part)->to_s += kLater;
  }
  expect_same(one, dsp::analyse_set(set).value(), {1e-6, false, kLater});
}

// To a thousandth of a radian and a millimetre: the filter starts from other rounding.
TEST_P(SetLaws, HowASensorIsTurnedInItsHousingDoesNotMatter) {
  dsp::SetInput set = input();
  const auto one = dsp::analyse_set(set).value();
  double turn = 0.3;
  for (dsp::StrapSeries& strap : set.straps) {
    const Eigen::Quaterniond q = dsp::exp_rotation({1.1 - turn, turn, 2.0 * turn});
    turn += 0.7;
    for (Eigen::Index i = 0; i < strap.data.size(); ++i) {
      strap.data.acc.col(i) = q * strap.data.acc.col(i);
      strap.data.gyr.col(i) = q * strap.data.gyr.col(i);
    }
  }
  expect_same(one, dsp::analyse_set(set).value(), {1e-3});
}

// To 0.17° and 3 mm: which of a hold's equal samples is its deepest is left to rounding.
TEST_P(SetLaws, AMirroredSetHasMirroredMeasures) {
  dsp::SetInput set = input();
  const auto one = dsp::analyse_set(set).value();
  for (dsp::StrapSeries& strap : set.straps) {
    Side& side = strap.placement.side;
    if (side != Side::middle) side = side == Side::left ? Side::right : Side::left;
    strap.data.acc.row(2) *= -1.0;
    strap.data.gyr.topRows(2) *= -1.0;
  }
  expect_same(one, dsp::analyse_set(set).value(), {3e-3, true});
}

}  // namespace
}  // namespace strapline::cli
