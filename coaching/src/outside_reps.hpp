#pragma once

#include <algorithm>

#include "strapline/coaching/judgement.hpp"

namespace strapline::coaching {

/// The reps of one measure that lie outside its band.
struct OutsideReps {
  int under = 0, over = 0;
  double most = 0.0;  ///< SI, beyond the edge
};

inline OutsideReps outside_reps(const MeasureJudgement& judged) {
  OutsideReps outside;
  for (const RepFinding& finding : judged.reps) {
    if (finding.verdict != RepVerdict::outside) continue;
    ++(finding.edge == Edge::low ? outside.under : outside.over);
    outside.most = std::max(outside.most, finding.beyond);
  }
  return outside;
}

}  // namespace strapline::coaching
