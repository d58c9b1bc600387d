#include "rep_cut.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace strapline::dsp {
namespace {

constexpr double kAtTurn = 1.2;    // 1, of strength: a cut where the reps turn is worth more
constexpr double kMoreTold = 2.0;  // 1, of what the stronger of two cuts tells

/// The two points of the cycle that are furthest apart: a rep begins at one and turns at the other.
std::array<int, 2> extremes_of(const RepPath& path) {
  std::array<int, 2> ends{0, kPathPoints / 2};
  double most = 0.0;
  for (int a = 0; a < kPathPoints; ++a) {
    for (int b = a + 1; b < kPathPoints; ++b) {
      const double distance = (path.col(a) - path.col(b)).norm();
      if (distance <= most) continue;
      most = distance;
      ends = {a, b};
    }
  }
  return ends;
}

RepCycle cut_at(const RepMatcher& matcher, const RepTemplate& rep, int point) {
  return refined(matcher, tried(matcher, begun_later(rep, point)));
}

/// A cut, and the halves that the reps then have.
struct Told {
  RepCycle cycle;
  std::vector<HalfChain> chains;
  double size = 0.0;  ///< rad, what the halves move, as far as they are alike
};

Told told_by(const MotionFeatures& features, const RepMatcher& matcher, RepCycle cycle,
             const RepetitionParams& params) {
  Told told{std::move(cycle), {}, 0.0};
  if (told.cycle.matches.size() < 2) return told;
  told.chains = half_reps(features, matcher, told.cycle.rep, told.cycle.matches, params);
  for (const HalfChain& chain : told.chains) {
    for (const HalfRep& half : chain) {
      const double alike = std::max(0.0, half.similarity - params.least_similarity);
      told.size += alike * size_of(matcher, half);
    }
  }
  return told;
}

}  // namespace

std::vector<HalfChain> cut_at_turns(const MotionFeatures& features, const RepMatcher& matcher,
                                    const RepCycle& cycle, const RepetitionParams& params) {
  const std::array<int, 2> ends = extremes_of(cycle.rep.path);
  const auto at_end = [&](int end) {
    return told_by(features, matcher, cut_at(matcher, cycle.rep, end), params);
  };
  Told best = at_end(ends[0]), other = at_end(ends[1]);
  if (other.cycle.strength > best.cycle.strength) std::swap(best, other);
  double most = kAtTurn * best.cycle.strength;
  if (other.size > kMoreTold * best.size) std::swap(best, other);
  RepCycle elsewhere;
  for (int point = 0; point < kPathPoints; point += 2) {
    if (std::find(ends.begin(), ends.end(), point) != ends.end()) continue;
    RepCycle cut = cut_at(matcher, cycle.rep, point);
    if (cut.matches.size() < 2 || cut.strength <= most) continue;
    most = cut.strength;
    elsewhere = std::move(cut);
  }
  if (elsewhere.matches.empty()) return std::move(best.chains);
  return half_reps(features, matcher, elsewhere.rep, elsewhere.matches, params);
}

}  // namespace strapline::dsp
