#pragma once

#include <string>
#include <vector>

#include "strapline/coaching/aim.hpp"
#include "strapline/coaching/judgement.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// How well one aim describes a set.
struct VariationFit {
  std::string aim;    ///< its name; "" for none of those given
  std::string title;  ///< what people read
  double probability = 0.0;
  std::vector<std::string> measures;  ///< base names with a band that were measured
};

/// Which of several aims describes a set best: a description of what was done, not a verdict on it.
struct VariationGuess {
  std::vector<VariationFit> fits;  ///< by falling probability; they sum to 1
  bool told = false;               ///< the first one is an aim, and at least kSureEnough probable
};

/// From here on the nearest aim is named without reserve.
inline constexpr double kSureEnough = 0.8;

/// The nearest of `aims` (those of another movement are left out). Each aim, and none of them, is a
/// hypothesis of equal weight. Under an aim a measure's true mean over the set lies evenly within
/// its band, blurred by the value's uncertainty and by how far people stay from what they mean to
/// do (default_difference); under an aim without a band for it, and under none, anywhere in a wide
/// range (natural_width). So a band that fits counts the more the narrower it is, and an aim that
/// says nothing of a measure neither gains nor loses by it. Sides are averaged. Empty where no aim
/// is of this movement or nothing with a band was measured.
[[nodiscard]] VariationGuess nearest_variation(const std::vector<Aim>& aims, const JudgedSet& set);

/// The width over which a measure of this unit may lie at all: 90°, 0.3 m, 6 s, 1 m/s, 1. Round
/// figures of ours.
[[nodiscard]] double natural_width(dsp::Unit unit);

/// One sentence: the nearest with how sure, or that it cannot be told and between what.
[[nodiscard]] std::string say_variation(const VariationGuess& guess);

}  // namespace strapline::coaching
