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
constexpr double kComesBack = 0.2;    // 1, of its range: how far from its start a lone rep may end

VectorXd up_of(const std::vector<const GridMotion*>& straps, Index i) {
  const auto at = static_cast<std::size_t>(i);
  VectorXd all(3 * static_cast<Index>(straps.size()));
  Index row = 0;
  for (const GridMotion* strap : straps) {
    all.segment<3>(row) = strap->q_world_from_sensor[at].conjugate() * world_up();
    row += 3;
  }
  return all;
}

double held_at_turn(const std::vector<const GridMotion*>& straps, const VectorXd& turn, Index first,
                    Index last) {
  constexpr Index kStep = 5;  // samples
  double sum = 0.0, count = 0.0;
  for (Index i = first; i <= last; i += kStep) {
    sum += (up_of(straps, i) - turn).squaredNorm();
    count += 1.0;
  }
  return count > 0.0 ? std::sqrt(sum / count) : 0.0;
}

/// From `turn` outwards to `end`: where the angle falls below one level after the other.
MatrixXd way(const std::vector<const GridMotion*>& straps, const VectorXd& angle, Index turn,
             Index end, const VectorXd& from) {
  const double rise = angle[turn] - angle[end];
  auto level = static_cast<Index>(std::floor(rise / kLevelStep));
  if (!(rise > 0.0)) level = 0;
  MatrixXd out = MatrixXd::Zero(from.size(), level);
  const Index step = end < turn ? -1 : 1;
  for (Index i = turn; level > 0 && i != end; i += step) {
    while (level > 0 && angle[i] <= angle[end] + kLevelStep * static_cast<double>(level)) {
      out.col(--level) = up_of(straps, i) - from;
    }
  }
  return out;
}

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
double likeness(const RepPath& a, const RepPath& b) {
  const Index there = std::min(a.there.cols(), b.there.cols());
  const Index back = std::min(a.back.cols(), b.back.cols());
  const double begun = correlation(a.there.leftCols(there), b.there.leftCols(there),
                                   a.back.leftCols(back), b.back.leftCols(back));
  const double whole = correlation(evenly(a.there, kPhasePoints), evenly(b.there, kPhasePoints),
                                   evenly(a.back, kPhasePoints), evenly(b.back, kPhasePoints));
  return std::max(begun, whole);
}

/// The range from which on an excursion is one of those that the set is made of.
double large_range(const std::vector<RepPath>& paths, const RepGateParams& params) {
  if (paths.size() < kFewest) return 0.0;
  std::vector<double> ranges;
  for (const RepPath& path : paths) ranges.push_back(path.range);
  std::sort(ranges.begin(), ranges.end(), std::greater<>());
  return params.large_share * ranges[kFewest - 1];
}

/// The posture that most of the large excursions begin and end in.
VectorXd usual_home(const std::vector<RepPath>& paths, const std::vector<char>& large) {
  VectorXd home(paths.front().start.size());
  for (Index d = 0; d < home.size(); ++d) {
    std::vector<double> ends;
    for (std::size_t k = 0; k < paths.size(); ++k) {
      if (large[k] == 0) continue;
      ends.push_back(paths[k].start[d]);
      ends.push_back(paths[k].end[d]);
    }
    home[d] = median_of(std::move(ends));
  }
  return home;
}

bool stays_at_its_turn(const RepPath& p, const RepGateParams& params) {
  return p.held <= params.hold_share * (p.turn - p.start).norm();
}

bool comes_home(const RepPath& p, const VectorXd& home, const RepGateParams& params) {
  const double allowed = params.home_share * (p.turn - p.start).norm() + params.home_slack;
  return (p.start - home).norm() <= allowed && (p.end - home).norm() <= allowed;
}

/// Whether it ends about where it began. What resembles no other must at least do that: a rear leg
/// that steps up to the front one swings as far as a rep, and stays there.
bool comes_back(const RepPath& p) {
  const auto apart = static_cast<double>(std::abs(p.there.cols() - p.back.cols()));
  return apart * kLevelStep <= kComesBack * p.range;
}

}  // namespace

RepPath path_of(const Excursion& e, const std::vector<const GridMotion*>& straps, const VectorXd& t,
                const VectorXd& angle) {
  const Index first = nearest_index(t, e.start.time_s);
  const Index last = nearest_index(t, e.end.time_s);
  RepPath path;
  path.start = up_of(straps, first);
  path.turn = up_of(straps, e.turn_index);
  path.end = up_of(straps, last);
  path.held = held_at_turn(straps, path.turn, nearest_index(t, e.turn_in.time_s),
                           nearest_index(t, e.turn_out.time_s));
  path.range = e.range;
  path.side = e.side;
  path.there = way(straps, angle, e.turn_index, first, path.start);
  path.back = way(straps, angle, e.turn_index, last, path.start);
  return path;
}

void leave_out_backswings(std::vector<Excursion>& reps, const VectorXd& t, const VectorXd& angle,
                          double start_level, double away_share) {
  std::erase_if(reps, [&](const Excursion& e) {
    const double from = angle[nearest_index(t, e.start.time_s)];
    const double to = angle[nearest_index(t, e.end.time_s)];
    return std::min(from, to) < start_level - away_share * e.range;  // not for NaN
  });
}

VectorXd posture_in(const std::vector<const GridMotion*>& straps, const VectorXd& t,
                    const Interval& part) {
  return up_of(straps, nearest_index(t, 0.5 * (part.from_s + part.to_s)));
}

bool starts_standing(RangeAngle angle) {
  return angle == RangeAngle::thigh_depth || angle == RangeAngle::hip_flexion;
}

std::vector<char> reps_among(const std::vector<RepPath>& paths, double least_range,
                             const VectorXd& start, const RepGateParams& params) {
  std::vector<char> kept(paths.size(), 0), large, closed;
  if (paths.empty()) return kept;
  const double large_from = large_range(paths, params);
  for (const RepPath& path : paths) large.push_back(path.range >= large_from ? 1 : 0);
  const bool few = paths.size() < kFewest;
  const bool told = start.size() > 0;
  const VectorXd home = told ? start : usual_home(paths, large);
  const double alike = home.size() == 3 ? params.alike_alone : params.alike;  // one strap
  for (const RepPath& p : paths) {
    closed.push_back(
        stays_at_its_turn(p, params) && ((few && !told) || comes_home(p, home, params)) ? 1 : 0);
  }
  for (std::size_t k = 0; k < paths.size(); ++k) {
    if (closed[k] == 0) continue;
    double most = -1.0;
    for (std::size_t other = 0; other < paths.size(); ++other) {
      if (other == k || closed[other] == 0 || (large[k] == 0 && large[other] == 0)) continue;
      most = std::max(most, likeness(paths[k], paths[other]));
    }
    // The other leg's reps need not resemble this one.
    const auto own = std::count_if(paths.begin(), paths.end(),
                                   [&](const RepPath& p) { return p.side == paths[k].side; });
    const bool lone = own < static_cast<std::ptrdiff_t>(kFewest) &&
                      paths[k].range >= params.lone_ranges * least_range && comes_back(paths[k]);
    kept[k] = most >= alike || lone ? 1 : 0;
  }
  return kept;
}

std::vector<Excursion> without_strange(const std::vector<Excursion>& excursions,
                                       const std::vector<const GridMotion*>& straps,
                                       const VectorXd& t, const RangeOf& range_of,
                                       double least_range, const VectorXd& start,
                                       const RepGateParams& params) {
  if (excursions.empty() || straps.empty()) return excursions;
  std::vector<RepPath> paths;
  for (const Excursion& e : excursions) paths.push_back(path_of(e, straps, t, range_of(e)));
  const std::vector<char> is_rep = reps_among(paths, least_range, start, params);
  std::vector<Excursion> kept;
  for (std::size_t k = 0; k < excursions.size(); ++k) {
    if (is_rep[k] != 0) kept.push_back(excursions[k]);
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
