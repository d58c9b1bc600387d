#include "strapline/dsp/repetition.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "median.hpp"
#include "rep_cut.hpp"
#include "rep_cycle.hpp"
#include "rep_halves.hpp"
#include "rep_home.hpp"
#include "rep_matcher.hpp"
#include "rep_strays.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;

constexpr std::size_t kOwnPathReps = 6;  // matches that show a path of their own
constexpr int kMoreClusters = 3;         // with paths of their own
constexpr double kClearLift = 0.2;       // rad, of the height's feature (10 cm)
constexpr double kElsewhere = 0.3;       // 1, of the usual turn: from where a lift begins
constexpr double kLeastTurn = 1.0;       // rad, for kElsewhere: what sways or is gripped anew
constexpr double kRests = 0.6;           // 1, of the stir at the other end: this end is the rest
constexpr double kRestShare = 0.3;       // of a half, on either side of its end: is there a rest?

/// What never comes near the set's usual size is no cluster of it: part reps have full ones beside
/// them, steps and handling of the straps have not.
void drop_small(std::vector<HalfChain>& chains, const RepMatcher& matcher, double least_share) {
  std::vector<double> sizes;
  for (const HalfChain& chain : chains) {
    for (const HalfRep& half : chain) sizes.push_back(size_of(matcher, half));
  }
  if (sizes.empty()) return;
  // Of the set, not of what may be dropped: its wider half.
  std::sort(sizes.begin(), sizes.end());
  const double least = least_share * sizes[3 * sizes.size() / 4];
  std::erase_if(chains, [&](const HalfChain& chain) {
    return std::none_of(chain.begin(), chain.end(),
                        [&](const HalfRep& half) { return size_of(matcher, half) >= least; });
  });
}

/// What makes a rep in a set that begins or ends half way.
enum class Worth { lift_away, lift_back, both_halves };

/// Where the height does not tell, a rep sets out from the end at which the strap rests: what left
/// it and reached the other end is the last rep, even if its way back became something else. Where
/// neither end is a rest, only a way there and back is a rep.
Worth worth_by_rest(const MotionFeatures& features, const std::vector<HalfChain>& chains) {
  std::vector<double> length, start, turn;
  for (const HalfChain& chain : chains) {
    for (const HalfRep& half : chain) length.push_back(half.length());
  }
  const auto around = std::max<Index>(1, std::lround(kRestShare * median_of(length)));
  const auto stir = [&](Index i) {
    const auto before = features.value.col(std::max<Index>(0, i - around));
    const auto after = features.value.col(std::min(features.size() - 1, i + around));
    return (before - features.value.col(i)).norm() + (after - features.value.col(i)).norm();
  };
  for (const HalfChain& chain : chains) {
    for (const HalfRep& half : chain) (half.away ? start : turn).push_back(stir(half.first));
  }
  const double at_start = median_of(start), at_turn = median_of(turn);
  if (at_start < kRests * at_turn) return Worth::lift_away;
  return at_turn < kRests * at_start ? Worth::lift_back : Worth::both_halves;
}

/// rad, of the height's feature.
double rise_of(const MotionFeatures& features, const HalfRep& half) {
  return features.value(4, half.last) - features.value(4, half.first);
}

/// Where the halves that lift the strap usually begin, and how far they turn it.
struct UsualLift {
  UsualLift(const MotionFeatures& features, const std::vector<HalfChain>& chains, bool lifts_away) {
    std::vector<Eigen::Vector3d> first;
    std::vector<double> turns;
    for (const HalfChain& chain : chains) {
      for (const HalfRep& half : chain) {
        if (half.away != lifts_away) continue;
        first.push_back(features.up(half.first));
        turns.push_back((features.up(half.last) - first.back()).norm());
      }
    }
    begin = median_of(first);
    turn = median_of(turns);
  }

  Eigen::Vector3d begin = Eigen::Vector3d::Zero();  // the sensor's up
  double turn = 0.0;                                // of it
};

/// A set's first lift comes from where the others do: what comes from elsewhere takes up position.
void drop_taking_position(std::vector<HalfChain>& chains, const MotionFeatures& features,
                          bool lifts_away) {
  const UsualLift usual(features, chains, lifts_away);
  const double most = kElsewhere * std::max(usual.turn, kLeastTurn);
  for (HalfChain& chain : chains) {
    if (chain.empty() || chain.front().away != lifts_away) continue;
    const double off = (features.up(chain.front().first) - usual.begin).norm();
    if (off > most) chain.erase(chain.begin());
  }
}

/// Halves at the ends of the chains that ought to lift the strap and let it sink put it down.
void drop_sinking_ends(std::vector<HalfChain>& chains, const MotionFeatures& features,
                       bool lifts_away) {
  const auto sinks = [&](const HalfRep& half) {
    return half.away == lifts_away && rise_of(features, half) < 0.0;
  };
  for (HalfChain& chain : chains) {
    if (!chain.empty() && sinks(chain.back())) chain.pop_back();
    if (!chain.empty() && sinks(chain.front())) chain.erase(chain.begin());
  }
}

/// The half that lifts the strap is the rep's work: a set may begin with it or end with it.
Worth worth_of(const MotionFeatures& features, std::vector<HalfChain>& chains) {
  std::vector<double> rise;
  for (const HalfChain& chain : chains) {
    for (const HalfRep& half : chain) {
      rise.push_back(half.away ? rise_of(features, half) : -rise_of(features, half));
    }
  }
  const double usual = median_of(rise);
  if (std::abs(usual) < kClearLift) return worth_by_rest(features, chains);
  drop_taking_position(chains, features, usual > 0.0);
  drop_sinking_ends(chains, features, usual > 0.0);
  std::erase_if(chains, [](const HalfChain& chain) { return chain.empty(); });
  return usual > 0.0 ? Worth::lift_away : Worth::lift_back;
}

/// Halves `first` and `last` of a chain, one or two, as a rep.
Repetition rep_of(const MotionFeatures& features, const RepMatcher& matcher, const HalfRep& first,
                  const HalfRep& last) {
  return {features.time_s(static_cast<double>(first.first)),
          features.time_s(static_cast<double>(last.last)),
          std::min(first.similarity, last.similarity),
          matcher.rms(first.first, static_cast<double>(last.last - first.first)), 0.0};
}

/// How long the half usually takes that goes away from the start of a rep, or back to it, samples.
double usual_half(const std::vector<HalfChain>& chains, bool away) {
  std::vector<double> lengths;
  for (const HalfChain& chain : chains) {
    for (const HalfRep& half : chain) {
      if (half.away == away) lengths.push_back(half.length());
    }
  }
  return lengths.empty() ? 0.0 : median_of(lengths);
}

/// How long the halves usually take, samples.
struct UsualHalves {
  explicit UsualHalves(const std::vector<HalfChain>& chains)
      : back(usual_half(chains, false)), away(usual_half(chains, true)) {}

  [[nodiscard]] double other_than(const HalfRep& half) const { return half.away ? back : away; }
  /// Of a rep as hurried as this half of it.
  [[nodiscard]] double whole_by(const HalfRep& half) const {
    return half.length() * (back + away) / std::max(1.0, half.away ? away : back);
  }
  double back, away;
};

/// A rep of which one half was told reaches on for as long as the other half usually takes, up to
/// its neighbours: its borders lie there, whatever became of that half.
void reach_on(Repetition& rep, const MotionFeatures& features, const HalfChain& chain,
              std::size_t k, bool first_half, const UsualHalves& usual) {
  rep.by_half_s = features.step_s * usual.whole_by(chain[k]);
  if (first_half) {
    const Index end = k + 1 < chain.size() ? chain[k + 1].first : features.size() - 1;
    const double to = static_cast<double>(chain[k].last) + usual.other_than(chain[k]);
    rep.to_s = std::max(rep.to_s, features.time_s(std::min(to, static_cast<double>(end))));
  } else {
    const Index begin = k > 0 ? chain[k - 1].last : 0;
    const double from = static_cast<double>(chain[k].first) - usual.other_than(chain[k]);
    rep.from_s = std::min(rep.from_s, features.time_s(std::max(from, static_cast<double>(begin))));
  }
}

/// The halves paired to reps, in the order in which most of the set goes. `home`: the sensor's up
/// where reps begin; told by the first clusters, known for those of a path of their own.
std::vector<Repetition> paired(const MotionFeatures& features, const RepMatcher& matcher,
                               std::vector<HalfChain> chains,
                               std::optional<Eigen::Vector3d>& home) {
  const Worth worth = worth_of(features, chains);
  if (chains.empty()) return {};
  const bool begins_away = sets_out_away(features, chains, home);
  if (!home) home = home_of(features, chains, begins_away);
  const UsualHalves usual(chains);
  std::vector<Repetition> reps;
  for (const HalfChain& chain : chains) {
    for (std::size_t k = 0; k < chain.size(); ++k) {
      const bool whole = chain[k].away == begins_away && k + 1 < chain.size();
      const bool works =
          worth != Worth::both_halves && chain[k].away == (worth == Worth::lift_away);
      if (!whole && !works) continue;
      reps.push_back(rep_of(features, matcher, chain[k], chain[whole ? k + 1 : k]));
      if (whole) {
        ++k;
      } else {
        reach_on(reps.back(), features, chain, k, chain[k].away == begins_away, usual);
      }
    }
  }
  return reps;
}

/// How alike two cycles are, whatever point each is cut at.
double likeness(const RepPath& a, const RepTemplate& b) {
  double most = -1.0;
  for (int k = 0; k < kPathPoints; ++k) {
    most = std::max(most, a.cwiseProduct(begun_later(b, k).path).sum());
  }
  return most;
}

/// A strap that slips or a client who lies differently after a pause makes the same movement look
/// different: another cluster may have a path of its own, as long as it still resembles the set's.
bool belongs(const RepCycle& other, const RepCycle& set, const RepetitionParams& params) {
  const double pace = other.rep.length / set.rep.length;
  const double size = other.rep.amplitude / set.rep.amplitude;
  return other.matches.size() >= kOwnPathReps && similarity_of(other) >= params.own_path_steady &&
         pace >= params.fastest && pace <= params.slowest && size >= params.smallest_share &&
         size <= 1.0 / params.smallest_share &&
         likeness(other.rep.path, set.rep) >= params.own_path_similarity;
}

void block(RepMatcher& matcher, const std::vector<HalfChain>& chains) {
  for (const HalfChain& chain : chains) matcher.block(chain.front().first, chain.back().last);
}

bool overlap(const Repetition& a, const Repetition& b) {
  return a.from_s < b.to_s && b.from_s < a.to_s;
}

void add(std::vector<Repetition>& reps, const std::vector<Repetition>& more) {
  for (const Repetition& rep : more) {
    const bool taken = std::any_of(reps.begin(), reps.end(),
                                   [&](const Repetition& other) { return overlap(rep, other); });
    if (!taken) reps.push_back(rep);
  }
}

/// What is wider than the usual rep tells no more.
double told_by(const std::vector<Repetition>& reps, const RepetitionParams& params) {
  if (reps.empty()) return 0.0;
  std::vector<double> sizes;
  for (const Repetition& rep : reps) sizes.push_back(rep.size);
  const double usual = median_of(std::move(sizes));
  double told = 0.0;
  for (const Repetition& rep : reps) {
    told += std::max(0.0, rep.similarity - params.least_similarity) * std::min(rep.size, usual);
  }
  return told;
}

}  // namespace

RepetitionSet find_repetitions(const MotionFeatures& features, const RepetitionParams& params) {
  RepetitionSet set;
  RepMatcher matcher(features, params);
  const RepCycle cycle = strongest_cycle(matcher);
  if (cycle.matches.size() < 2) return set;
  std::vector<HalfChain> chains = cut_at_turns(features, matcher, cycle, params);
  drop_small(chains, matcher, params.cluster_share);
  drop_strays(chains, features, params);
  if (chains.empty()) return set;
  std::optional<Eigen::Vector3d> home;
  set.reps = paired(features, matcher, chains, home);
  set.strength = cycle.strength;
  for (int k = 0; k < kMoreClusters; ++k) {
    block(matcher, chains);
    const RepCycle other = strongest_cycle(matcher);
    if (!belongs(other, cycle, params)) break;
    chains = cut_at_turns(features, matcher, other, params);
    if (chains.empty()) break;
    add(set.reps, paired(features, matcher, chains, home));
  }
  std::sort(set.reps.begin(), set.reps.end(),
            [](const Repetition& a, const Repetition& b) { return a.from_s < b.from_s; });
  set.told = told_by(set.reps, params);
  return set;
}

}  // namespace strapline::dsp
