#include "strapline/dsp/repetition.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "median.hpp"
#include "rep_matcher.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr std::size_t kFinalists = 6;  // seeds that are refined
constexpr int kRefinements = 3;
constexpr int kPhases = 8;             // where in its cycle a rep may begin
constexpr double kClosed = 0.7;        // of the range: posture at a sure rep's ends from the usual
constexpr double kClosedAtEdge = 1.0;  // the same for the first and the last rep
constexpr double kLeastTurn = 0.2;     // rad, of the range in the two above: sway and grip

struct Candidate {
  RepTemplate rep;
  std::vector<Match> matches;
  double strength = 0.0;
};

/// What the matches explain beyond the first of them, which explains itself.
double strength_of(const std::vector<Match>& matches, double amplitude) {
  if (matches.size() < 2) return 0.0;
  double sum = 0.0, most = 0.0;
  for (const Match& m : matches) {
    sum += m.gain;
    most = std::max(most, m.gain);
  }
  return (sum - most) * std::sqrt(amplitude);
}

Candidate tried(const RepMatcher& matcher, RepTemplate rep) {
  Candidate c{std::move(rep), {}, 0.0};
  c.matches = matcher.best_cover(c.rep);
  c.strength = strength_of(c.matches, c.rep.amplitude);
  return c;
}

Candidate refined(const RepMatcher& matcher, Candidate c) {
  for (int k = 0; k < kRefinements && c.matches.size() >= 2; ++k) {
    c = tried(matcher, matcher.common(c.matches, c.rep.amplitude));
  }
  return c;
}

/// The same cycle, begun `points` later.
RepTemplate begun_later(const RepTemplate& rep, int points) {
  RepTemplate out = rep;
  for (int m = 0; m < kPathPoints; ++m) out.path.col(m) = rep.path.col((m + points) % kPathPoints);
  return out;
}

/// Keeps the part of the matches that is one set, with or without pauses.
class SetEdges {
 public:
  SetEdges(const MotionFeatures& features, const RepMatcher& matcher, std::vector<Match> matches,
           const RepetitionParams& params)
      : features_(features), matcher_(matcher), params_(params), matches_(std::move(matches)) {
    usual_postures();
  }

  [[nodiscard]] std::vector<Match> kept(double least_similarity, double closed) const {
    const auto no_rep = [&](const Match& m) {
      return m.similarity < least_similarity || away(m.first, start_) > closed ||
             away(matcher_.last(m), end_) > closed;
    };
    std::vector<Match> reps;
    for (std::size_t from = 0; from < matches_.size();) {
      std::size_t to = from + 1;
      while (to < matches_.size() && !pause_between(matches_[to - 1], matches_[to])) ++to;
      std::size_t first = from, last = to;
      while (first < last && no_rep(matches_[first])) ++first;
      while (last > first && no_rep(matches_[last - 1])) --last;
      for (std::size_t k = first; k < last; ++k) reps.push_back(matches_[k]);
      from = to;
    }
    return without_strays(std::move(reps));
  }

 private:
  [[nodiscard]] bool pause_between(const Match& before, const Match& after) const {
    return static_cast<double>(after.first - matcher_.last(before)) > params_.apart * length_;
  }

  [[nodiscard]] Vector3d up(Index i) const { return features_.value.col(i).head<3>(); }
  [[nodiscard]] double away(Index i, const Vector3d& usual) const {
    return (up(i) - usual).norm() / range_;
  }

  /// Over the reps that have others on both sides, where there are enough.
  void usual_postures() {
    if (matches_.empty()) return;
    const std::size_t skip = matches_.size() > 4 ? 1 : 0;
    std::array<std::vector<double>, 3> first, last;
    std::vector<double> ranges, lengths;
    for (std::size_t k = skip; k + skip < matches_.size(); ++k) {
      const Match& m = matches_[k];
      double range = 0.0;
      for (Index i = m.first; i <= matcher_.last(m); ++i) {
        range = std::max(range, (up(i) - up(m.first)).norm());
      }
      ranges.push_back(range);
      lengths.push_back(matcher_.length(m));
      for (Index d = 0; d < 3; ++d) {
        first[static_cast<std::size_t>(d)].push_back(up(m.first)[d]);
        last[static_cast<std::size_t>(d)].push_back(up(matcher_.last(m))[d]);
      }
    }
    for (Index d = 0; d < 3; ++d) {
      start_[d] = median_of(first[static_cast<std::size_t>(d)]);
      end_[d] = median_of(last[static_cast<std::size_t>(d)]);
    }
    range_ = std::max(kLeastTurn, median_of(ranges));
    length_ = median_of(lengths);
  }

  /// One or two reps a long way from the others are something else that looked alike.
  [[nodiscard]] std::vector<Match> without_strays(std::vector<Match> reps) const {
    for (std::size_t k = 1; k < reps.size() && reps.size() > 2; ++k) {
      if (!pause_between(reps[k - 1], reps[k])) continue;
      const std::size_t after = reps.size() - k;
      if (std::min(k, after) > 2) continue;
      const auto cut = reps.begin() + static_cast<std::ptrdiff_t>(k);
      if (k < after) {
        reps.erase(reps.begin(), cut);
      } else {
        reps.erase(cut, reps.end());
      }
      k = 0;
    }
    return reps;
  }

  const MotionFeatures& features_;
  const RepMatcher& matcher_;
  RepetitionParams params_;
  std::vector<Match> matches_;
  Vector3d start_ = Vector3d::Zero();
  Vector3d end_ = Vector3d::Zero();
  double range_ = kLeastTurn;
  double length_ = 1.0;
};

Candidate strongest(const RepMatcher& matcher) {
  std::vector<Candidate> candidates;
  for (RepTemplate& seed : matcher.seeds()) candidates.push_back(tried(matcher, std::move(seed)));
  const auto stronger = [](const Candidate& a, const Candidate& b) {
    return a.strength > b.strength;
  };
  std::stable_sort(candidates.begin(), candidates.end(), stronger);
  candidates.resize(std::min(candidates.size(), kFinalists));
  for (Candidate& c : candidates) c = refined(matcher, std::move(c));
  std::stable_sort(candidates.begin(), candidates.end(), stronger);
  return candidates.empty() ? Candidate{} : std::move(candidates.front());
}

/// A cycle may be cut anywhere; a set of whole reps fits most of them cut where it begins and ends.
std::vector<Match> cut_where_reps_begin(const MotionFeatures& features, const RepMatcher& matcher,
                                        const Candidate& cycle, const RepetitionParams& params) {
  std::vector<Match> best;
  std::tuple<std::size_t, std::size_t, double> most{0, 0, 0.0};
  for (int k = 0; k < kPhases; ++k) {
    const Candidate c =
        refined(matcher, tried(matcher, begun_later(cycle.rep, k * kPathPoints / kPhases)));
    const SetEdges edges(features, matcher, c.matches, params);
    const std::size_t sure = edges.kept(params.sure_similarity, kClosed).size();
    std::vector<Match> reps = edges.kept(params.edge_similarity, kClosedAtEdge);
    const std::tuple worth{sure, reps.size(), c.strength};
    if (reps.size() < 2 || worth <= most) continue;
    most = worth;
    best = std::move(reps);
  }
  return best;
}

}  // namespace

RepetitionSet find_repetitions(const MotionFeatures& features, const RepetitionParams& params) {
  RepetitionSet set;
  const RepMatcher matcher(features, params);
  const Candidate cycle = strongest(matcher);
  if (cycle.matches.size() < 2) return set;
  for (const Match& m : cut_where_reps_begin(features, matcher, cycle, params)) {
    set.reps.push_back({features.time_s(static_cast<double>(m.first)),
                        features.time_s(static_cast<double>(matcher.last(m))), m.similarity,
                        matcher.amplitude(m)});
  }
  if (!set.reps.empty()) set.strength = cycle.strength;
  return set;
}

}  // namespace strapline::dsp
