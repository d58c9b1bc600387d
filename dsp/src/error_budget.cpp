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

/// rad (0.25°): who stands plumb, or raises the arms and bows straight ahead, still sways.
constexpr double kSway = 0.0044;

double with_sway(double stated) { return std::hypot(stated, kSway); }

}  // namespace

ErrorBudget budget_for(const BodyDimensions& body) {
  ErrorBudget budget;
  budget.soft_tissue_thigh = body.soft_tissue_thigh.value_or(budget.soft_tissue_thigh);
  budget.soft_tissue_limb = body.soft_tissue_limb.value_or(budget.soft_tissue_limb);
  if (body.standing_lean) budget.standing = with_sway(*body.standing_lean);
  budget.toe_line = body.toe_line.value_or(budget.toe_line);
  budget.hinge_square = body.hinge_square.value_or(budget.hinge_square);
  if (body.raise_plane) budget.raise_plane = with_sway(*body.raise_plane);
  if (body.bow_plane) budget.bow_plane = with_sway(*body.bow_plane);
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
