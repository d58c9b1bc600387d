#include "rep_strays.hpp"

#include <algorithm>
#include <array>

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Vector3d;

constexpr std::size_t kStrayReps = 2;
constexpr std::ptrdiff_t kSureHalves = 2;  // very much alike: such a pair is no accident…
constexpr double kBeside = 0.9;            // …and vouches for what is less so beside it
// Of halves that are not very much alike. Figures of ours, chosen with synthetic sets and the
// strays of the labelled real ones in view: none of the seven meets them all.
constexpr double kAlike = 0.85;   // 1, similarity at least
constexpr double kEnds = 0.15;    // 1, of the range, and rad: from where halves begin and end…
constexpr double kScatter = 2.0;  // …or, if more, 1, of how far off the others' are
constexpr double kNarrow = 0.55;  // 1, of the usual half's span…
constexpr double kWide = 1.4;     // …and at most
constexpr double kHasty = 0.6;    // 1, of the usual half's length

std::size_t halves_in(const std::vector<HalfChain>& chains) {
  std::size_t count = 0;
  for (const HalfChain& chain : chains) count += chain.size();
  return count;
}

/// How far from the usual one these directions usually are (of unit vectors, so rad while small).
double scatter_of(const std::vector<Vector3d>& ends, const Vector3d& usual) {
  std::vector<double> off;
  for (const Vector3d& end : ends) off.push_back((end - usual).norm());
  return median_of(std::move(off));
}

/// rad, from one end of a half to the other: however long it sticks on its way.
double span_of(const MotionFeatures& features, const HalfRep& half) {
  const auto at = [&](Eigen::Index i) { return std::min(i, features.size() - 1); };
  return (features.value.col(at(half.last)) - features.value.col(at(half.first))).norm();
}

/// What the halves of the other chains are like; back and away apart.
class Usual {
 public:
  Usual(const std::vector<const HalfChain*>& chains, const MotionFeatures& features)
      : features_(features) {
    std::vector<Vector3d> start, turn;
    std::array<std::vector<double>, 2> span, length;
    for (const HalfChain* chain : chains) {
      for (const HalfRep& half : *chain) {
        span[half.away].push_back(span_of(features, half));
        length[half.away].push_back(half.length());
        start.push_back(features.up(half.start()));
        turn.push_back(features.up(half.turn()));
      }
    }
    known_ = !span[0].empty() && !span[1].empty();
    if (!known_) return;
    start_ = median_of(start);
    turn_ = median_of(turn);
    const double least = kEnds * std::max(1.0, (turn_ - start_).norm());
    off_start_ = std::max(least, kScatter * scatter_of(start, start_));
    off_turn_ = std::max(least, kScatter * scatter_of(turn, turn_));
    for (const std::size_t away : {0U, 1U}) {
      span_[away] = median_of(span[away]);
      length_[away] = median_of(length[away]);
    }
  }

  /// Whether a half that is alike, if not very much, is one of these.
  [[nodiscard]] bool fits(const HalfRep& half) const {
    return comes_from_turn(half) && (features_.up(half.start()) - start_).norm() <= off_start_;
  }
  /// Whether it is, but for the posture at its other end: who grinds may be lost on the way.
  [[nodiscard]] bool comes_from_turn(const HalfRep& half) const {
    if (!known_ || half.similarity < kAlike) return false;
    const double share = span_of(features_, half) / std::max(1e-9, span_[half.away]);
    return (features_.up(half.turn()) - turn_).norm() <= off_turn_ && share >= kNarrow &&
           share <= kWide && half.length() >= kHasty * length_[half.away];
  }

 private:
  const MotionFeatures& features_;
  bool known_ = false;
  Vector3d start_ = Vector3d::Zero(), turn_ = Vector3d::Zero();  // the sensor's up
  double off_start_ = 0.0, off_turn_ = 0.0;  // of unit vectors: from these at most
  std::array<double, 2> span_{}, length_{};  // rad; samples
};

}  // namespace

void drop_strays(std::vector<HalfChain>& chains, const MotionFeatures& features,
                 const RepetitionParams& params) {
  const std::size_t all = halves_in(chains);
  const auto few = [&](const HalfChain& chain) {
    return chain.size() <= 2 * kStrayReps && 2 * chain.size() < all;
  };
  std::vector<const HalfChain*> others;
  for (const HalfChain& chain : chains) {
    if (!few(chain)) others.push_back(&chain);
  }
  const Usual usual(others, features);
  for (HalfChain& chain : chains) {
    if (!few(chain)) continue;
    const auto sure = std::count_if(chain.begin(), chain.end(), [&](const HalfRep& half) {
      return half.similarity >= params.stray_similarity;
    });
    const double least = sure >= kSureHalves ? kBeside : params.stray_similarity;
    const auto strange = [&](const HalfRep& half) {
      return half.similarity < least && !usual.fits(half);
    };
    const auto grinds = [&] {
      return chain.size() >= 2 && !chain.back().away && usual.comes_from_turn(chain.back()) &&
             !strange(chain[chain.size() - 2]);
    };
    while (!chain.empty() && strange(chain.back()) && !grinds()) chain.pop_back();
    while (!chain.empty() && strange(chain.front())) chain.erase(chain.begin());
    const auto end = grinds() ? chain.end() - 1 : chain.end();
    const bool rep = chain.size() >= 2 && std::none_of(chain.begin(), end, strange);
    if (!rep) chain.clear();
  }
  std::erase_if(chains, [](const HalfChain& chain) { return chain.empty(); });
}

}  // namespace strapline::dsp
