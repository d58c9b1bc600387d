#include "strapline/dsp/rep_gate.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "strapline/dsp/rotation.hpp"

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double kLevelStep = 0.035;  // rad (2°), of the range angle between points of a way
constexpr Index kPhasePoints = 8;     // of either moving phase, evenly in its angle
constexpr std::size_t kFewest = 3;    // excursions that show what is usual

struct Posture {
  VectorXd start, turn, end;  ///< each strap's up, one below the other
  double held = 0.0;          ///< rms distance from the turn between the phases
  /// Of the vertical through the straps' frames, from where the rep begins: a column for each level
  /// of the range angle, while it grows and while it falls.
  MatrixXd there, back;
};

class Looker {
 public:
  Looker(const std::vector<const GridMotion*>& straps, const VectorXd& t, const RangeOf& range_of)
      : straps_(straps), t_(t), range_of_(range_of) {}

  [[nodiscard]] Posture look(const Excursion& e) const {
    const Index first = nearest_index(t_, e.start.time_s);
    const Index last = nearest_index(t_, e.end.time_s);
    Posture p{up(first), up(e.turn_index), up(last), held(e), {}, {}};
    const VectorXd& angle = range_of_(e);
    p.there = way(angle, e.turn_index, first, p.start);
    p.back = way(angle, e.turn_index, last, p.start);
    return p;
  }

 private:
  [[nodiscard]] VectorXd up(Index i) const {
    const auto at = static_cast<std::size_t>(i);
    VectorXd all(3 * static_cast<Index>(straps_.size()));
    Index row = 0;
    for (const GridMotion* strap : straps_) {
      all.segment<3>(row) = strap->q_world_from_sensor[at].conjugate() * world_up();
      row += 3;
    }
    return all;
  }

  [[nodiscard]] double held(const Excursion& e) const {
    constexpr Index kStep = 5;  // samples
    const VectorXd turn = up(e.turn_index);
    double sum = 0.0, count = 0.0;
    const Index last = nearest_index(t_, e.turn_out.time_s);
    for (Index i = nearest_index(t_, e.turn_in.time_s); i <= last; i += kStep) {
      sum += (up(i) - turn).squaredNorm();
      count += 1.0;
    }
    return count > 0.0 ? std::sqrt(sum / count) : 0.0;
  }

  /// From `turn` outwards to `end`: where the angle falls below one level after the other.
  [[nodiscard]] MatrixXd way(const VectorXd& angle, Index turn, Index end,
                             const VectorXd& from) const {
    const double rise = angle[turn] - angle[end];
    auto level = static_cast<Index>(std::floor(rise / kLevelStep));
    if (!(rise > 0.0)) level = 0;
    MatrixXd out = MatrixXd::Zero(from.size(), level);
    const Index step = end < turn ? -1 : 1;
    for (Index i = turn; level > 0 && i != end; i += step) {
      while (level > 0 && angle[i] <= angle[end] + kLevelStep * static_cast<double>(level)) {
        out.col(--level) = up(i) - from;
      }
    }
    return out;
  }

  const std::vector<const GridMotion*>& straps_;
  const VectorXd& t_;
  const RangeOf& range_of_;
};

/// The way's columns at `points` places, evenly from its start to its end.
MatrixXd evenly(const MatrixXd& way, Index points) {
  MatrixXd out = MatrixXd::Zero(way.rows(), points);
  for (Index k = 0; k < points && way.cols() > 0; ++k) {
    out.col(k) = way.col((2 * k + 1) * way.cols() / (2 * points));
  }
  return out;
}

double correlation(const MatrixXd& a_there, const MatrixXd& b_there, const MatrixXd& a_back,
                   const MatrixXd& b_back) {
  const double both = a_there.cwiseProduct(b_there).sum() + a_back.cwiseProduct(b_back).sum();
  const double a = a_there.squaredNorm() + a_back.squaredNorm();
  const double b = b_there.squaredNorm() + b_back.squaredNorm();
  return both / std::max(1e-9, std::sqrt(a * b));
}

/// Correlation of two ways: as far as the shorter one goes, or of the whole of both, whichever is
/// more (a shallow rep may be the beginning of a deep one, or a small one).
double likeness(const Posture& a, const Posture& b) {
  const Index there = std::min(a.there.cols(), b.there.cols());
  const Index back = std::min(a.back.cols(), b.back.cols());
  const double begun = correlation(a.there.leftCols(there), b.there.leftCols(there),
                                   a.back.leftCols(back), b.back.leftCols(back));
  const double whole = correlation(evenly(a.there, kPhasePoints), evenly(b.there, kPhasePoints),
                                   evenly(a.back, kPhasePoints), evenly(b.back, kPhasePoints));
  return std::max(begun, whole);
}

/// The range from which on an excursion is one of those that the set is made of.
double large_range(const std::vector<Excursion>& excursions, const RepGateParams& params) {
  if (excursions.size() < kFewest) return 0.0;
  std::vector<double> ranges;
  for (const Excursion& e : excursions) ranges.push_back(e.range);
  std::sort(ranges.begin(), ranges.end(), std::greater<>());
  return params.large_share * ranges[kFewest - 1];
}

/// The posture that most of the large excursions begin and end in.
VectorXd usual_home(const std::vector<Posture>& postures, const std::vector<char>& large) {
  VectorXd home(postures.front().start.size());
  for (Index d = 0; d < home.size(); ++d) {
    std::vector<double> ends;
    for (std::size_t k = 0; k < postures.size(); ++k) {
      if (large[k] == 0) continue;
      ends.push_back(postures[k].start[d]);
      ends.push_back(postures[k].end[d]);
    }
    home[d] = median_of(std::move(ends));
  }
  return home;
}

bool stays_at_its_turn(const Posture& p, const RepGateParams& params) {
  return p.held <= params.hold_share * (p.turn - p.start).norm();
}

bool comes_home(const Posture& p, const VectorXd& home, const RepGateParams& params) {
  const double allowed = params.home_share * (p.turn - p.start).norm() + params.home_slack;
  return (p.start - home).norm() <= allowed && (p.end - home).norm() <= allowed;
}

}  // namespace

std::vector<Excursion> without_strange(const std::vector<Excursion>& excursions,
                                       const std::vector<const GridMotion*>& straps,
                                       const VectorXd& t, const RangeOf& range_of,
                                       double least_range, const RepGateParams& params) {
  std::vector<Excursion> kept;
  if (excursions.empty() || straps.empty()) return excursions;
  const Looker looker(straps, t, range_of);
  const double large_from = large_range(excursions, params);
  std::vector<Posture> postures;
  std::vector<char> large;
  for (const Excursion& e : excursions) {
    postures.push_back(looker.look(e));
    large.push_back(e.range >= large_from ? 1 : 0);
  }
  const bool few = excursions.size() < kFewest;
  const VectorXd home = usual_home(postures, large);
  const double alike = straps.size() == 1 ? params.alike_alone : params.alike;
  std::vector<char> closed;
  for (const Posture& p : postures) {
    closed.push_back(stays_at_its_turn(p, params) && (few || comes_home(p, home, params)) ? 1 : 0);
  }
  for (std::size_t k = 0; k < excursions.size(); ++k) {
    if (closed[k] == 0) continue;
    double most = -1.0;
    for (std::size_t other = 0; other < excursions.size(); ++other) {
      if (other == k || closed[other] == 0 || (large[k] == 0 && large[other] == 0)) continue;
      most = std::max(most, likeness(postures[k], postures[other]));
    }
    const bool lone = few && excursions[k].range >= params.lone_ranges * least_range;
    if (most >= alike || lone) kept.push_back(excursions[k]);
  }
  return kept;
}

std::vector<Excursion> without_standing(const std::vector<Excursion>& excursions,
                                        const GridMotion& trunk, const VectorXd& t,
                                        const Interval& still, double least_turn) {
  const auto up = [&](Index i) -> Eigen::Vector3d {
    return trunk.q_world_from_sensor[static_cast<std::size_t>(i)].conjugate() * world_up();
  };
  Eigen::Vector3d standing = Eigen::Vector3d::Zero();
  const Index last = nearest_index(t, still.to_s);
  for (Index i = nearest_index(t, still.from_s); i <= last; ++i) standing += up(i);
  standing.normalize();
  const double most_upright = std::cos(least_turn);
  std::vector<Excursion> kept = excursions;
  std::erase_if(kept, [&](const Excursion& e) {
    return up(nearest_index(t, e.start.time_s)).dot(standing) > most_upright;
  });
  return kept;
}

}  // namespace strapline::dsp
