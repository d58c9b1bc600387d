#pragma once

#include <vector>

#include "rep_matcher.hpp"

namespace strapline::dsp {

/// A movement that repeats: what one cycle looks like and where it was found.
struct RepCycle {
  RepTemplate rep;
  std::vector<Match> matches;  ///< in time order
  double strength = 0.0;       ///< see RepetitionSet
};

/// The cycle of this template.
[[nodiscard]] RepCycle tried(const RepMatcher& matcher, RepTemplate rep);

/// By its own matches, unless that makes it another, much weaker one: what they have in common then
/// is something else, a step.
[[nodiscard]] RepCycle refined(const RepMatcher& matcher, const RepCycle& seed);

/// The same template, begun `points` of its path later.
[[nodiscard]] RepTemplate begun_later(const RepTemplate& rep, int points);

/// 1, median over its matches.
[[nodiscard]] double similarity_of(const RepCycle& cycle);

/// What repeats longest and widest; without matches where nothing does.
[[nodiscard]] RepCycle strongest_cycle(const RepMatcher& matcher);

}  // namespace strapline::dsp
