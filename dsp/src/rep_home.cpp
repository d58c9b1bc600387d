#include "rep_home.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "median.hpp"
#include "waiting.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Vector3d;

// Figures of ours.
constexpr std::size_t kEnoughEnds = 4;  // to tell scatter
constexpr double kScattered = 0.2;      // 1, of the way from one end to the other
constexpr double kSteady = 0.5;         // 1, of the other end's scatter
constexpr double kNearer = 0.4;         // 1, of that way: one end to a known home than the other

/// RMS, of the sensor's up, about the usual one, but for the furthest, which may be no rep's.
double scatter_of(const std::vector<Vector3d>& ends) {
  const Vector3d usual = median_of(ends);
  double sum = 0.0, most = 0.0;
  for (const Vector3d& end : ends) {
    sum += (end - usual).squaredNorm();
    most = std::max(most, (end - usual).squaredNorm());
  }
  return std::sqrt(std::max(0.0, sum - most) / (static_cast<double>(ends.size()) - 1.0));
}

/// By how differently reps turn; the outer ends of a cluster may be anything.
std::optional<bool> by_scatter(const MotionFeatures& features,
                               const std::vector<HalfChain>& chains) {
  std::vector<Vector3d> start, turn;
  for (const HalfChain& chain : chains) {
    for (std::size_t k = 0; k + 1 < chain.size(); ++k) {
      (chain[k].away ? turn : start).push_back(features.up(chain[k].last));
    }
  }
  if (start.size() < kEnoughEnds || turn.size() < kEnoughEnds) return std::nullopt;
  const double way = (median_of(turn) - median_of(start)).norm();
  const double at_start = scatter_of(start), at_turn = scatter_of(turn);
  if (std::max(at_start, at_turn) < kScattered * way) return std::nullopt;
  if (at_start < kSteady * at_turn) return true;
  if (at_turn < kSteady * at_start) return false;
  return std::nullopt;
}

/// By where the client waits between clusters.
std::optional<bool> by_pauses(const MotionFeatures& features,
                              const std::vector<HalfChain>& chains) {
  const Vector3d home = home_of(features, chains, true), away = home_of(features, chains, false);
  const double way = std::max(1e-9, (away - home).norm());
  Waiting waiting;
  for (std::size_t k = 1; k < chains.size(); ++k) {
    for (Eigen::Index i = chains[k - 1].back().last + 1; i < chains[k].front().first; ++i) {
      waiting.see((features.up(i) - home).norm() / way, (features.up(i) - away).norm() / way);
    }
  }
  return waiting.at_start();
}

/// Clusters begin and end in the posture where the client rests, but one of their ends may lack its
/// half. Of a tie the longest tells.
bool by_clusters(const std::vector<HalfChain>& chains) {
  int votes = 0;
  for (const HalfChain& chain : chains) {
    votes += chain.front().away ? 1 : -1;
    votes += chain.back().away ? -1 : 1;
  }
  if (votes != 0) return votes > 0;
  return std::max_element(
             chains.begin(), chains.end(),
             [](const HalfChain& a, const HalfChain& b) { return a.size() < b.size(); })
      ->front()
      .away;
}

/// By which end is nearer to where the set's other clusters begin.
std::optional<bool> by_known_home(const MotionFeatures& features,
                                  const std::vector<HalfChain>& chains, const Vector3d& home) {
  const Vector3d start = home_of(features, chains, true), turn = home_of(features, chains, false);
  const double way = (turn - start).norm();
  const double nearer = (turn - home).norm() - (start - home).norm();
  if (std::abs(nearer) < kNearer * way) return std::nullopt;
  return nearer > 0.0;
}

}  // namespace

Vector3d home_of(const MotionFeatures& features, const std::vector<HalfChain>& chains,
                 bool begins_away) {
  std::vector<Vector3d> home;
  for (const HalfChain& chain : chains) {
    for (const HalfRep& half : chain) {
      home.push_back(features.up(begins_away ? half.start() : half.turn()));
    }
  }
  return median_of(home);
}

bool sets_out_away(const MotionFeatures& features, const std::vector<HalfChain>& chains,
                   const std::optional<Vector3d>& home) {
  if (home) {
    const std::optional<bool> known = by_known_home(features, chains, *home);
    if (known) return *known;
  }
  const std::optional<bool> by_pause = by_pauses(features, chains);
  if (by_pause) return *by_pause;
  return by_scatter(features, chains).value_or(by_clusters(chains));
}

}  // namespace strapline::dsp
