#include "strapline/dsp/error_budget.hpp"

#include <cmath>
#include <optional>

namespace strapline::dsp {
namespace {

Length given_or_from_height(std::optional<double> given, double share, const BodyDimensions& body,
                            const ErrorBudget& budget) {
  if (given) return {*given, budget.length_measured};
  if (!body.height) return {0.0, 0.0};
  const double length = share * *body.height;
  return {length, budget.length_share * length};
}

// Half of a standing body's sway is slower than 0.15 Hz, most of the rest than 0.7 (posturography,
// from memory); an exponential correlation of this time leaves as much of its mean over two to five
// seconds.
constexpr double kSway = 0.0070;     // rad (0.4°), RMS to and fro: a trunk's
constexpr double kSwayTime = 0.85;   // s
constexpr double kSideways = 0.5;    // of sway to and fro
constexpr double kOfLimbs = 0.5;     // of the trunk's
constexpr double kMovementTime = 4;  // s: raises and bows take so long, and who makes them sways

}  // namespace

double mean_sway(double seconds) {
  if (seconds <= 0.0) return kSway;
  const double share = kSwayTime / seconds;
  return kSway * std::sqrt(2.0 * share * (1.0 + share * std::expm1(-1.0 / share)));
}

ErrorBudget budget_for(const BodyDimensions& body, double still_s) {
  ErrorBudget budget;
  budget.soft_tissue_thigh = body.soft_tissue_thigh.value_or(budget.soft_tissue_thigh);
  budget.soft_tissue_limb = body.soft_tissue_limb.value_or(budget.soft_tissue_limb);
  if (body.standing_lean) {
    const double sway = mean_sway(still_s);
    budget.standing = std::hypot(*body.standing_lean, sway);
    budget.standing_across = std::hypot(*body.standing_lean, kSideways * sway);
    budget.limb_sway = kOfLimbs * sway;
    budget.limb_sway_across = kSideways * budget.limb_sway;
    budget.standing_limb = std::hypot(*body.standing_lean, budget.limb_sway);
    budget.standing_limb_across = std::hypot(*body.standing_lean, budget.limb_sway_across);
  }
  budget.toe_line = body.toe_line.value_or(budget.toe_line);
  budget.hinge_square = body.hinge_square.value_or(budget.hinge_square);
  const double moving = mean_sway(kMovementTime);
  if (body.raise_plane) budget.raise_plane = std::hypot(*body.raise_plane, moving);
  if (body.bow_plane) budget.bow_plane = std::hypot(*body.bow_plane, moving);
  return budget;
}

double soft_tissue(const ErrorBudget& budget, Segment segment) {
  if (segment == Segment::foot) return budget.soft_tissue_foot;
  const bool thick = segment == Segment::thigh || segment == Segment::upper_arm;
  return thick ? budget.soft_tissue_thigh : budget.soft_tissue_limb;
}

double soft_tissue_per_axis(const ErrorBudget& budget, Segment segment) {
  return soft_tissue(budget, segment) / std::sqrt(3.0);
}

Length thigh_length(const BodyDimensions& body, const ErrorBudget& budget) {
  return given_or_from_height(body.thigh, 0.245, body, budget);
}

Length shank_length(const BodyDimensions& body, const ErrorBudget& budget) {
  return given_or_from_height(body.shank, 0.246, body, budget);
}

Length toe_reach(const BodyDimensions& body, const ErrorBudget& budget) {
  const Length foot = given_or_from_height(body.foot, 0.152, body, budget);
  return {0.75 * foot.value, std::hypot(0.75 * foot.u, budget.toe_reach)};
}

}  // namespace strapline::dsp
