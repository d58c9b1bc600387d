#include "arm_heading.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "strapline/dsp/rotation.hpp"

#include "square.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::VectorXd;

/// rad (1°): segments against each other, from one start posture to the next.
constexpr double kPostureRepeats = 0.0175;
constexpr double kUsualWeight = 2.0;  // of that, against what this set's postures show

/// rad/s (0.15 °/s): what sway while standing hides of a gyroscope's bias: half a degree in four
/// seconds.
constexpr double kDriftSd = 2.6e-3;

/// One of a group of equal postures: what each strap's heading has gained since the group's first.
struct Posture {
  double time_s;
  VectorXd headings;  // rad, by strap
};

/// The middles of these parts, where every strap is known.
std::vector<Posture> postures_of(const std::vector<PreparedStrap*>& straps, const VectorXd& t,
                                 const std::vector<Interval>& equal) {
  std::vector<Posture> postures;
  std::optional<std::size_t> first;
  for (const Interval& part : equal) {
    const double middle = 0.5 * (part.from_s + part.to_s);
    const auto at = static_cast<std::size_t>(nearest_index(t, middle));
    if (std::any_of(straps.begin(), straps.end(),
                    [&](const PreparedStrap* s) { return s->motion.known[at] == 0; })) {
      continue;
    }
    if (!first) first = at;
    Posture posture{middle, VectorXd(static_cast<Index>(straps.size()))};
    for (std::size_t k = 0; k < straps.size(); ++k) {
      const auto& q = straps[k]->motion.q_world_from_sensor;
      posture.headings[static_cast<Index>(k)] = heading_of(q[at] * q[*first].conjugate());
    }
    if (straps.size() > 1) posture.headings.array() -= posture.headings.mean();
    postures.push_back(std::move(posture));
  }
  return postures;
}

/// Less the group's means, in time and heading.
void centre(std::vector<Posture>& group) {
  if (group.empty()) return;
  double time = 0.0;
  VectorXd headings = VectorXd::Zero(group.front().headings.size());
  for (const Posture& p : group) {
    time += p.time_s / static_cast<double>(group.size());
    headings += p.headings / static_cast<double>(group.size());
  }
  for (Posture& p : group) {
    p.time_s -= time;
    p.headings -= headings;
  }
}

struct Drift {
  double slope = 0.0, u = 0.0;  // rad/s
};

/// A straight line through a strap's centred postures by least squares, with a prior (none,
/// ± kDriftSd), where postures repeat as well as `variance` (rad²) says.
Drift line_through(const std::vector<Posture>& centred, Index strap, double variance) {
  double along = 0.0, squares = 0.0;
  for (const Posture& p : centred) {
    along += p.time_s * p.headings[strap];
    squares += square(p.time_s);
  }
  const double information = squares / variance + 1.0 / square(kDriftSd);
  return {along / variance / information, 1.0 / std::sqrt(information)};
}

/// Of each strap's postures about its line, rad².
VectorXd squares_about_lines(const std::vector<Posture>& centred, Index straps) {
  VectorXd squares = VectorXd::Zero(straps);
  for (Index k = 0; k < straps; ++k) {
    const Drift usual = line_through(centred, k, square(kPostureRepeats));
    for (const Posture& p : centred) {
      squares[k] += square(p.headings[k] - usual.slope * p.time_s);
    }
  }
  return squares;
}

/// What is usual of how postures repeat has its weight; the rest this set shows: of this body in
/// all its straps, then of the strap itself.
std::vector<Drift> drifts_of(const std::vector<Posture>& centred, Index straps) {
  // Two means and a slope are taken out, and of several straps their mean.
  const double free = std::max(0.0, static_cast<double>(centred.size()) - 3.0);
  const double apart = straps > 1 ? static_cast<double>(straps - 1) : 1.0;
  const VectorXd squares = squares_about_lines(centred, straps);
  const double body =
      (kUsualWeight * square(kPostureRepeats) + squares.sum()) / (kUsualWeight + apart * free);
  std::vector<Drift> drifts;
  for (Index k = 0; k < straps; ++k) {
    const double variance = (kUsualWeight * body + squares[k]) / (kUsualWeight + free);
    drifts.push_back(line_through(centred, k, variance));
  }
  return drifts;
}

}  // namespace

void remove_arm_heading_drift(std::vector<PreparedStrap>& straps, const VectorXd& t,
                              const ResolvedParts& parts,
                              const std::vector<Interval>& start_postures) {
  if (!parts.still) return;
  const double still_s = 0.5 * (parts.still->from_s + parts.still->to_s);
  std::vector<PreparedStrap*> aligned;
  for (PreparedStrap& strap : straps) {
    if (strap.alignment) aligned.push_back(&strap);
  }
  std::vector<Interval> standing{*parts.still};
  if (parts.still_after) standing.push_back(*parts.still_after);
  std::vector<Posture> postures = postures_of(aligned, t, standing);
  centre(postures);
  std::vector<Posture> starts = postures_of(aligned, t, start_postures);
  centre(starts);
  postures.insert(postures.end(), starts.begin(), starts.end());
  const std::vector<Drift> drifts = drifts_of(postures, static_cast<Index>(aligned.size()));
  for (std::size_t k = 0; k < aligned.size(); ++k) {
    PreparedStrap& strap = *aligned[k];
    const Drift& drift = drifts[k];
    strap.heading_u = drift.u * (t.array() - still_s).abs();
    for (Index i = 0; i < t.size(); ++i) {
      Quaterniond& q = strap.motion.q_world_from_sensor[static_cast<std::size_t>(i)];
      q = turn_about_vertical(-drift.slope * (t[i] - still_s)) * q;
    }
    follow_segment(strap);
  }
}

}  // namespace strapline::dsp
