#include "rep_cycle.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "median.hpp"

namespace strapline::dsp {
namespace {

constexpr std::size_t kFinalists = 6;     // seeds that are refined
constexpr std::size_t kOtherLengths = 6;  // of the next seeds, which are looked at for a half
constexpr double kLeastHalf = 0.4;        // 1, of a cycle's length
constexpr double kHalf = 0.65;            // 1, of it, at most
constexpr double kNearly = 0.85;          // 1, of its strength at least
constexpr double kAsClosely = 0.01;       // 1, of its similarity
constexpr int kRefinements = 3;
constexpr double kLikePace = 0.6;    // 1, of a neighbour's length: no jump
constexpr double kMuchWeaker = 0.6;  // 1, of the strength that a cycle had before

/// 1, how far a match has the pace of its neighbours: a set may hurry or tire, but from one rep to
/// the next its pace is much the same; what hands do between sets is not.
double keeps_pace(const RepMatcher& matcher, const std::vector<Match>& matches, std::size_t k) {
  double most = 0.0;
  const double length = matcher.length(matches[k]);
  const auto as = [&](std::size_t other) {
    const double there = matcher.length(matches[other]);
    most = std::max(most, std::min(length, there) / std::max(length, there));
  };
  if (k > 0) as(k - 1);
  if (k + 1 < matches.size()) as(k + 1);
  return std::min(1.0, most / kLikePace);
}

/// What the matches explain beyond the first of them, which explains itself.
double strength_of(const RepMatcher& matcher, const std::vector<Match>& matches, double amplitude) {
  if (matches.size() < 2) return 0.0;
  double sum = 0.0, most = 0.0;
  for (std::size_t k = 0; k < matches.size(); ++k) {
    const double gain = matches[k].gain * keeps_pace(matcher, matches, k);
    sum += gain;
    most = std::max(most, gain);
  }
  return (sum - most) * std::sqrt(amplitude);
}

bool stronger(const RepCycle& a, const RepCycle& b) { return a.strength > b.strength; }

/// Whether a cycle of half the length does as well: it matches as closely, moves as much and
/// explains nearly as much. Then the long one is two reps, left and right or part and full, which
/// explains more only because it holds what differs between them.
bool is_half_of(const RepCycle& half, const RepCycle& whole) {
  const double share = half.rep.length / whole.rep.length;
  return share >= kLeastHalf && share <= kHalf && half.strength >= kNearly * whole.strength &&
         half.rep.amplitude >= whole.rep.amplitude &&
         similarity_of(half) >= similarity_of(whole) - kAsClosely;
}

/// From `first` on, the best of each length, as many as count.
std::vector<RepCycle> best_of_lengths(const std::vector<RepCycle>& candidates, std::size_t first) {
  std::vector<RepCycle> chosen;
  for (std::size_t k = first; k < candidates.size() && chosen.size() < kOtherLengths; ++k) {
    const bool taken = std::any_of(chosen.begin(), chosen.end(), [&](const RepCycle& other) {
      return other.rep.length == candidates[k].rep.length;
    });
    if (!taken) chosen.push_back(candidates[k]);
  }
  return chosen;
}

}  // namespace

RepCycle tried(const RepMatcher& matcher, RepTemplate rep) {
  RepCycle c{std::move(rep), {}, 0.0};
  c.matches = matcher.best_cover(c.rep);
  c.strength = strength_of(matcher, c.matches, c.rep.amplitude);
  return c;
}

RepCycle refined(const RepMatcher& matcher, const RepCycle& seed) {
  RepCycle c = seed;
  for (int k = 0; k < kRefinements && c.matches.size() >= 2; ++k) {
    c = tried(matcher, matcher.common(c.matches, c.rep.amplitude));
  }
  const bool another = c.matches.size() >= 2 && c.strength < kMuchWeaker * seed.strength;
  return another ? seed : c;
}

RepTemplate begun_later(const RepTemplate& rep, int points) {
  RepTemplate out = rep;
  for (int m = 0; m < kPathPoints; ++m) out.path.col(m) = rep.path.col((m + points) % kPathPoints);
  return out;
}

double similarity_of(const RepCycle& c) {
  std::vector<double> similar;
  for (const Match& m : c.matches) similar.push_back(m.similarity);
  return median_of(similar);
}

RepCycle strongest_cycle(const RepMatcher& matcher) {
  std::vector<RepCycle> candidates;
  for (RepTemplate& seed : matcher.seeds()) candidates.push_back(tried(matcher, std::move(seed)));
  if (candidates.empty()) return {};
  std::stable_sort(candidates.begin(), candidates.end(), stronger);
  std::vector<RepCycle> others = best_of_lengths(candidates, kFinalists);
  candidates.resize(std::min(candidates.size(), kFinalists));
  for (RepCycle& c : candidates) c = refined(matcher, c);
  std::stable_sort(candidates.begin(), candidates.end(), stronger);
  for (RepCycle& c : others) candidates.push_back(refined(matcher, c));
  const auto half = std::find_if(candidates.begin() + 1, candidates.end(), [&](const RepCycle& c) {
    return is_half_of(c, candidates.front());
  });
  return std::move(half == candidates.end() ? candidates.front() : *half);
}

}  // namespace strapline::dsp
