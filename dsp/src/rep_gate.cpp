#include "rep_gate.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "strapline/dsp/rotation.hpp"

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr Index kPhasePoints = 8;   // of either moving phase; the holds are left out
constexpr std::size_t kFewest = 3;  // excursions that show what is usual

/// The way of the vertical through the strap's frame, from where the rep begins.
using Way = Eigen::Matrix<double, 3, 2 * kPhasePoints>;

struct Posture {
  Vector3d start, turn, end;  // the strap's up
  Way way;
};

class Looker {
 public:
  Looker(const GridMotion& strap, const Eigen::VectorXd& t) : strap_(strap), t_(t) {}

  [[nodiscard]] Posture look(const Excursion& e) const {
    Posture p{up(e.start.time_s), up(t_[e.turn_index]), up(e.end.time_s), {}};
    for (Index k = 0; k < kPhasePoints; ++k) {
      const double share = (static_cast<double>(k) + 0.5) / kPhasePoints;
      p.way.col(k) = between(e.start, e.turn_in, share) - p.start;
      p.way.col(kPhasePoints + k) = between(e.turn_out, e.end, share) - p.start;
    }
    return p;
  }

 private:
  [[nodiscard]] Vector3d up(double time_s) const {
    return strap_.q_world_from_sensor[static_cast<std::size_t>(nearest_index(t_, time_s))]
               .conjugate() *
           world_up();
  }
  [[nodiscard]] Vector3d between(const Border& from, const Border& to, double share) const {
    return up(from.time_s + share * (to.time_s - from.time_s));
  }

  const GridMotion& strap_;
  const Eigen::VectorXd& t_;
};

double likeness(const Way& a, const Way& b) {
  return a.cwiseProduct(b).sum() / std::max(1e-9, a.norm() * b.norm());
}

/// The posture that most excursions begin and end in.
Vector3d usual_home(const std::vector<Posture>& postures) {
  std::array<std::vector<double>, 3> ends;
  for (const Posture& p : postures) {
    for (Index d = 0; d < 3; ++d) {
      ends[static_cast<std::size_t>(d)].push_back(p.start[d]);
      ends[static_cast<std::size_t>(d)].push_back(p.end[d]);
    }
  }
  return {median_of(ends[0]), median_of(ends[1]), median_of(ends[2])};
}

bool comes_home(const Posture& p, const Vector3d& home, const RepGateParams& params) {
  const double allowed = params.home_share * (p.turn - p.start).norm() + params.home_slack;
  return (p.start - home).norm() <= allowed && (p.end - home).norm() <= allowed;
}

}  // namespace

std::vector<Excursion> without_strange(const std::vector<Excursion>& excursions,
                                       const GridMotion& strap, const Eigen::VectorXd& t,
                                       double least_range, const RepGateParams& params) {
  const Looker looker(strap, t);
  std::vector<Posture> postures;
  for (const Excursion& e : excursions) postures.push_back(looker.look(e));
  std::vector<Excursion> kept;
  if (excursions.empty()) return kept;
  const Vector3d home = usual_home(postures);
  for (std::size_t k = 0; k < excursions.size(); ++k) {
    if (excursions.size() >= kFewest && !comes_home(postures[k], home, params)) continue;
    double most = -1.0;
    for (std::size_t other = 0; other < excursions.size(); ++other) {
      if (other == k) continue;
      most = std::max(most, likeness(postures[k].way, postures[other].way));
    }
    const bool large =
        excursions.size() < kFewest && excursions[k].range >= params.lone_ranges * least_range;
    if (most >= params.alike || large) kept.push_back(excursions[k]);
  }
  return kept;
}

}  // namespace strapline::dsp
