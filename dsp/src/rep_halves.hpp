#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/motion_features.hpp"
#include "strapline/dsp/repetition.hpp"

#include "rep_matcher.hpp"

namespace strapline::dsp {

/// Half of a rep's cycle: from the start posture to the turn, or back.
struct HalfRep {
  Eigen::Index first = 0, last = 0;  ///< of the features
  bool away = true;                  ///< towards the turn
  double similarity = 0.0;           ///< with the usual half

  /// Samples.
  [[nodiscard]] double length() const { return static_cast<double>(last - first); }
  /// Its end in the start posture and its end at the turn, of the features.
  [[nodiscard]] Eigen::Index start() const { return away ? first : last; }
  [[nodiscard]] Eigen::Index turn() const { return away ? last : first; }
};

/// Reps that follow each other without a pause.
using HalfChain = std::vector<HalfRep>;

/// rad, of a half's features about their mean.
[[nodiscard]] double size_of(const RepMatcher& matcher, const HalfRep& half);

/// The halves of the cycle that `matches` of `rep` went through, one chain per cluster. What lies
/// between two matches is taken as it is; the ends of each cluster are judged half by half, because
/// a set may begin with the weight at either end of its way, and end there.
[[nodiscard]] std::vector<HalfChain> half_reps(const MotionFeatures& features,
                                               const RepMatcher& matcher, const RepTemplate& rep,
                                               const std::vector<Match>& matches,
                                               const RepetitionParams& params);

}  // namespace strapline::dsp
