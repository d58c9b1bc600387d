#include "rep_halves.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kLengthStep = 1.12;  // of the ladder of lengths of a half
constexpr double kGapCost = 0.1;      // of similarity, for a hold as long as a rep
constexpr double kOverlap = 0.25;     // of a half: how far it may reach into its neighbour
constexpr std::size_t kOwnCore = 3;   // matches from which on a cluster shows its own postures
constexpr double kBelowUsual = 0.05;  // of similarity: an end half against the inner reps
constexpr Index kLeastSamples = 4;    // of a half
constexpr int kParts = 24;            // of a match: where it may turn…
constexpr int kFirstPart = 4;         // …from its ends on

/// Where in the cycle the reps turn: the point furthest from where they begin.
int turn_of(const RepPath& path) {
  int turn = kPathPoints / 2;
  double most = 0.0;
  for (int m = 1; m + 1 < kPathPoints; ++m) {
    const double distance = (path.col(m) - 0.5 * (path.col(0) + path.col(kPathPoints - 1))).norm();
    if (distance <= most) continue;
    most = distance;
    turn = m;
  }
  return turn;
}

/// Points `from` to `to` of the cycle as a path of its own.
RepPath part_of(const RepPath& path, int from, int to) {
  RepPath out;
  for (int m = 0; m < kPathPoints; ++m) {
    const double x = from + static_cast<double>((to - from) * m) / (kPathPoints - 1);
    const int i = std::min(static_cast<int>(x), kPathPoints - 2);
    out.col(m) = (1.0 - (x - i)) * path.col(i) + (x - i) * path.col(i + 1);
  }
  const Eigen::Matrix<double, 5, 1> mean = out.rowwise().mean();
  out.colwise() -= mean;
  return out.normalized();
}

/// What one cluster's halves look like.
struct Usual {
  Vector3d start, turn;               ///< the sensor's up there
  double range = 0.0;                 ///< of up, between them
  std::array<double, 2> amplitude{};  ///< rms of a half: back, away
  std::array<double, 2> length{};     ///< samples
  double similarity = 1.0;            ///< 1, enough for a half: the inner reps hardly reach more
  std::array<Index, 2> matched{};     ///< first and last index of what matched as a whole
  std::array<Index, 2> within{};      ///< first and last index that a half may reach
};

/// What a half that continues a chain is held against.
struct Neighbours {
  HalfRep beside;                 ///< the chain's end, which goes the other way
  RepPath kin = RepPath::Zero();  ///< path of the half before that, which goes the same way, norm 1
};

class Halves {
 public:
  Halves(const MotionFeatures& features, const RepMatcher& matcher, const RepTemplate& rep,
         const RepetitionParams& params)
      : features_(features), matcher_(matcher), params_(params), rep_length_(rep.length) {
    turn_ = turn_of(rep.path);
    half_[1] = part_of(rep.path, 0, turn_);
    half_[0] = part_of(rep.path, turn_, kPathPoints - 1);
  }

  /// `within`: first and last index that the chain may reach; what lies beyond is another's.
  [[nodiscard]] HalfChain chain(const std::vector<Match>& cluster, const Usual& all,
                                const std::array<Index, 2>& within) const {
    Usual usual = cluster.size() >= kOwnCore + 2 ? usual_of(core_of(cluster), all) : all;
    usual.within = within;
    usual.matched = {cluster.front().first, matcher_.last(cluster.back())};
    std::vector<double> similar;
    for (const Match& m : core_of(cluster)) similar.push_back(m.similarity);
    usual.similarity = median_of(similar) - kBelowUsual;
    HalfChain chain;
    for (const Match& m : core_of(cluster)) {
      const auto halves = cluster.size() > 2 ? halves_of(m) : likely_halves_of(m);
      chain.insert(chain.end(), halves.begin(), halves.end());
    }
    grow_back(chain, usual);
    grow_on(chain, usual);
    if (!chain.empty()) add_sure_ends(chain, cluster);
    return chain;
  }

  [[nodiscard]] Usual usual_of(const std::vector<Match>& matches, const Usual& fallback) const {
    Usual usual = fallback;
    std::vector<Vector3d> start, turn;
    std::array<std::vector<double>, 2> amplitude, length;
    for (const Match& m : matches) {
      const Index middle = turn_index(m);
      const Index last = matcher_.last(m);
      start.emplace_back(0.5 * (features_.up(m.first) + features_.up(last)));
      turn.push_back(features_.up(middle));
      length[1].push_back(static_cast<double>(middle - m.first));
      length[0].push_back(static_cast<double>(last - middle));
      amplitude[1].push_back(matcher_.rms(m.first, length[1].back()));
      amplitude[0].push_back(matcher_.rms(middle, length[0].back()));
    }
    usual.start = median_of(start);
    usual.turn = median_of(turn);
    for (std::size_t k = 0; k < 2; ++k) {
      usual.amplitude[k] = median_of(amplitude[k]);
      usual.length[k] = median_of(length[k]);
    }
    usual.range = std::max(params_.least_turn, (usual.turn - usual.start).norm());
    return usual;
  }

  /// The matches that have others on both sides, or the best one where there are only two.
  [[nodiscard]] static std::vector<Match> core_of(const std::vector<Match>& cluster) {
    if (cluster.size() > 2) return {cluster.begin() + 1, cluster.end() - 1};
    return {*std::max_element(cluster.begin(), cluster.end(), [](const Match& a, const Match& b) {
      return a.similarity < b.similarity;
    })};
  }

 private:
  [[nodiscard]] std::array<HalfRep, 2> halves_of(const Match& m) const {
    const Index turn = turn_index(m);
    return {HalfRep{m.first, turn, true, m.similarity},
            HalfRep{turn, matcher_.last(m), false, m.similarity}};
  }
  /// The same, of a match that no other vouches for, parted where its halves are most alike: who
  /// grinds takes longer one way only, and turns elsewhere.
  [[nodiscard]] std::array<HalfRep, 2> likely_halves_of(const Match& m) const {
    auto best = halves_of(m);
    double most = m.similarity;
    for (int k = kFirstPart; k <= kParts - kFirstPart; ++k) {
      const auto halves = parted(m, m.first + (matcher_.last(m) - m.first) * k / kParts);
      const double least = std::min(halves[0].similarity, halves[1].similarity);
      if (least <= most) continue;
      most = least;
      best = halves;
    }
    return best;
  }
  [[nodiscard]] std::array<HalfRep, 2> parted(const Match& m, Index turn) const {
    HalfRep away{m.first, turn, true}, back{turn, matcher_.last(m), false};
    for (HalfRep* half : {&away, &back}) {
      const RepPath path = matcher_.path(half->first, half->length());
      half->similarity = path.cwiseProduct(half_[half->away]).sum() / std::max(1e-9, path.norm());
    }
    return {away, back};
  }
  [[nodiscard]] Index turn_index(const Match& m) const {
    return m.first +
           static_cast<Index>(std::lround(matcher_.length(m) * turn_ / (kPathPoints - 1)));
  }

  /// The cluster's first and last match, where the chain did not grow to them: a client may pause
  /// after the first rep or before the last, or begin from elsewhere. As a whole they are very much
  /// alike.
  void add_sure_ends(HalfChain& chain, const std::vector<Match>& cluster) const {
    const auto sure = [&](const std::array<HalfRep, 2>& halves) {
      return std::min(halves[0].similarity, halves[1].similarity) >= params_.stray_similarity;
    };
    const auto first = likely_halves_of(cluster.front());
    if (sure(first) && first[1].last <= chain.front().first) {
      chain.insert(chain.begin(), first.begin(), first.end());
    }
    const auto last = likely_halves_of(cluster.back());
    if (sure(last) && last[0].first >= chain.back().last) {
      chain.insert(chain.end(), last.begin(), last.end());
    }
  }

  void grow_on(HalfChain& chain, const Usual& usual) const {
    while (!chain.empty()) {
      const HalfRep* kin = chain.size() < 2 ? nullptr : &chain[chain.size() - 2];
      const auto next = best_half(neighbours(chain.back(), kin), 1, usual);
      if (!next || next->last <= chain.back().last) return;
      chain.push_back(*next);
    }
  }

  void grow_back(HalfChain& chain, const Usual& usual) const {
    while (!chain.empty()) {
      const HalfRep* kin = chain.size() < 2 ? nullptr : &chain[1];
      const auto before = best_half(neighbours(chain.front(), kin), -1, usual);
      if (!before || before->first >= chain.front().first) return;
      chain.insert(chain.begin(), *before);
    }
  }

  [[nodiscard]] Neighbours neighbours(const HalfRep& beside, const HalfRep* kin) const {
    if (kin == nullptr) return {beside};
    return {beside, matcher_.path(kin->first, kin->length()).normalized()};
  }

  /// The half that follows its neighbours (direction 1) or leads to them (-1), after a hold or
  /// without.
  [[nodiscard]] std::optional<HalfRep> best_half(const Neighbours& neighbours, int direction,
                                                 const Usual& usual) const {
    const HalfRep& beside = neighbours.beside;
    const std::size_t kind = beside.away ? 0 : 1;
    const Index anchor = direction > 0 ? beside.last : beside.first;
    std::optional<HalfRep> best;
    double most = 0.0;
    const auto longest_hold = static_cast<Index>(std::lround(params_.longest_hold * rep_length_));
    for (double length = std::max<double>(kLeastSamples, params_.half_fastest * usual.length[kind]);
         length <= params_.half_slowest * usual.length[kind]; length *= kLengthStep) {
      const auto samples = static_cast<Index>(std::lround(length));
      const auto overlap = static_cast<Index>(kOverlap * length);
      for (Index gap = -overlap; gap <= longest_hold; ++gap) {
        const Index first = direction > 0 ? anchor + gap : anchor - gap - samples;
        const auto half = judged(neighbours, first, length, usual);
        if (!half) continue;
        const double worth =
            half->similarity - kGapCost * std::abs(static_cast<double>(gap)) / rep_length_;
        if (worth <= most) continue;
        most = worth;
        best = half;
      }
    }
    return best;
  }

  /// A half resembles the cluster's, or the last one that went its way, because a set may wander.
  [[nodiscard]] std::optional<HalfRep> judged(const Neighbours& neighbours, Index first,
                                              double length, const Usual& usual) const {
    const std::size_t kind = neighbours.beside.away ? 0 : 1;
    const Index last = first + static_cast<Index>(std::lround(length));
    if (first < usual.within[0] || last > usual.within[1]) return std::nullopt;
    const RepPath path = matcher_.path(first, length);
    const double norm = path.norm();
    const double size = norm / std::sqrt(static_cast<double>(kPathPoints));
    const double share = size / std::max(1e-9, usual.amplitude[kind]);
    if (share < params_.half_least || share > params_.half_most) return std::nullopt;
    const double similarity =
        std::max(path.cwiseProduct(half_[kind]).sum(), path.cwiseProduct(neighbours.kin).sum()) /
        norm;
    const Index middle = (first + last) / 2;
    const bool matched = middle >= usual.matched[0] && middle <= usual.matched[1];
    const double least = matched ? params_.half_similarity : params_.new_similarity;
    if (similarity < std::min(least, usual.similarity)) return std::nullopt;
    const HalfRep half{first, last, kind == 1, similarity};
    if (off_its_ends(half, neighbours.beside, usual) > params_.half_closed * usual.range)
      return std::nullopt;
    return half;
  }

  /// How far the half begins or ends from where halves do: the cluster's, or those of the half
  /// `beside` it (it goes the other way), because a set may wander.
  [[nodiscard]] double off_its_ends(const HalfRep& half, const HalfRep& beside,
                                    const Usual& usual) const {
    double begins = (features_.up(half.first) - (half.away ? usual.start : usual.turn)).norm();
    double ends = (features_.up(half.last) - (half.away ? usual.turn : usual.start)).norm();
    if (beside.similarity >= params_.half_similarity) {
      begins = std::min(begins, (features_.up(half.first) - features_.up(beside.last)).norm());
      ends = std::min(ends, (features_.up(half.last) - features_.up(beside.first)).norm());
    }
    return std::max(begins, ends);
  }

  const MotionFeatures& features_;
  const RepMatcher& matcher_;
  RepetitionParams params_;
  double rep_length_;
  int turn_ = 0;
  std::array<RepPath, 2> half_;  ///< back, away
};

}  // namespace

double size_of(const RepMatcher& matcher, const HalfRep& half) {
  return matcher.rms(half.first, half.length());
}

std::vector<HalfChain> half_reps(const MotionFeatures& features, const RepMatcher& matcher,
                                 const RepTemplate& rep, const std::vector<Match>& matches,
                                 const RepetitionParams& params) {
  std::vector<HalfChain> chains;
  if (matches.empty()) return chains;
  const Halves halves(features, matcher, rep, params);
  const Usual all = halves.usual_of(matches.size() > 4 ? Halves::core_of(matches) : matches, {});
  for (std::size_t from = 0; from < matches.size();) {
    std::size_t to = from + 1;
    while (to < matches.size() &&
           static_cast<double>(matches[to].first - matcher.last(matches[to - 1])) <=
               params.apart * rep.length) {
      ++to;
    }
    // The cluster before is done; the one after has its matches at least.
    const Index first = chains.empty() ? 0 : chains.back().back().last;
    const Index last = to < matches.size() ? matches[to].first : features.size() - 3;
    chains.push_back(halves.chain({matches.begin() + static_cast<std::ptrdiff_t>(from),
                                   matches.begin() + static_cast<std::ptrdiff_t>(to)},
                                  all, {first, last}));
    from = to;
  }
  return chains;
}

}  // namespace strapline::dsp
