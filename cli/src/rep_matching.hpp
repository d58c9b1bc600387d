#pragma once

#include <vector>

#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/synthetic/set_truth.hpp"

namespace strapline::cli {

/// A true rep and the analysis's rep that is the same movement.
struct MatchedRep {
  const recordings::synthetic::RepTruth* truth = nullptr;
  const dsp::Rep* seen = nullptr;
  bool same_next = false;  ///< the rep after it is the same movement in both, too
};

/// What the analysis made of a set's reps.
struct RepMatch {
  std::vector<MatchedRep> full;  ///< both say full
  int full_true = 0, full_seen = 0;
  int part_true = 0;
  int part_found = 0;  ///< seen as part reps, too
  int part_false = 0;  ///< seen as part reps where no part rep is
  int doubtful = 0;    ///< matched true reps of which either is right: in none of the above parts
  int missed = 0;      ///< true reps that nothing matches
  int invented = 0;    ///< seen reps that match nothing
  int sided = 0;       ///< matched reps that one leg did …
  int wrong_side = 0;  ///< … and that the analysis gave to the other, or to both
};

/// Pairs reps whose turns lie within each other, each at most once. The vectors must outlive the
/// result.
[[nodiscard]] RepMatch match_reps(const std::vector<recordings::synthetic::RepTruth>& truth,
                                  const std::vector<dsp::Rep>& seen);

}  // namespace strapline::cli
