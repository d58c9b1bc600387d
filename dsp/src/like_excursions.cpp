#include "like_excursions.hpp"

#include <algorithm>

#include "strapline/dsp/rep_gate.hpp"
#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/segmentation.hpp"

#include "median.hpp"
#include "strongest_turn.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kFastest = 0.5;  // 1, of their length: steps and handling are faster
constexpr double kApart = RepetitionParams{}.apart;
constexpr double kAtOnce = 0.5;       // 1, of it: so soon beside a rep what was not told is one
constexpr double kRestsFor = 0.5;     // s: before and after what is one after a pause, too
constexpr double kAtHome = 0.05;      // 1, of the usual range: no further from home meanwhile
constexpr double kEdge = 0.1;         // s
constexpr double kTurnedShare = 0.2;  // 1, of its range: from the usual turn about the vertical
constexpr double kTurnedSlack = 0.1;  // rad
constexpr double kAlike = 0.97;       // 1, correlation of its way with another's

bool turns_within(const Excursion& e, const Excursion& rep) {
  const double turn = 0.5 * (e.turn_in.time_s + e.turn_out.time_s);
  return turn > rep.start.time_s && turn < rep.end.time_s;
}

/// What the told reps are like.
struct Usual {
  Usual(const std::vector<Excursion>& told, double part_share)
      : range(wide_range(told)), large(part_share * range), wide(told) {
    std::erase_if(wide, [&](const Excursion& e) { return e.range < large; });
    length = usual_length(wide);
  }
  /// Neither as wide as they are nor as slow: a step, a strap that is being handled.
  [[nodiscard]] bool hasty(const Excursion& e) const {
    return e.range < kAsWide * range && length_of(e) < kFastest * length;
  }

  /// So far goes no rep: something else lies in it.
  [[nodiscard]] bool huge(const Excursion& e) const { return e.range > kFarWider * range; }
  /// Neither as wide as full reps nor as narrow as part reps.
  [[nodiscard]] bool between(const Excursion& e) const {
    return e.range >= large && e.range < kAsWide * range;
  }
  [[nodiscard]] bool doubtful(const Excursion& e) const {
    return e.range < large || hasty(e) || huge(e);
  }

  double range;                 ///< rad
  double large;                 ///< rad: a smaller one may be something else
  std::vector<Excursion> wide;  ///< those that are not: among the others may be steps
  double length = 0.0;          ///< s
};

/// The posture in which the wide told reps begin and end.
VectorXd home_of(const GridMotion& strap, const VectorXd& t, const std::vector<Excursion>& wide) {
  std::vector<Eigen::Vector3d> ends;
  for (const Excursion& e : wide) {
    for (const double at : {e.start.time_s, e.end.time_s}) {
      ends.emplace_back(posture_in({&strap}, t, {at, at}));
    }
  }
  return median_of(ends);
}

/// The parts of a stretch in which the strap is no further from home than `most`, rad, or not
/// known: an arm that hangs beside a set of presses would be taken for the range of them all.
std::vector<Interval> near_home(const SetWork& work, const Interval& stretch, double most) {
  std::vector<Interval> parts;
  bool inside = false;
  const Index last = nearest_index(work.t, stretch.to_s);
  for (Index i = nearest_index(work.t, stretch.from_s); i <= last; ++i) {
    const bool near = !(std::abs(work.range_angle[i]) > most);
    if (near && !inside) parts.push_back({work.t[i], work.t[i]});
    if (near) parts.back().to_s = work.t[i];
    inside = near;
  }
  return parts;
}

/// Every excursion of the set part that goes as far as `most`, rad, each cluster about its own
/// axis.
std::vector<Excursion> excursions_of(const SetWork& work, const SegmentationParams& params,
                                     double most) {
  std::vector<Excursion> all;
  for (const Interval& zone : cluster_zones(work.t, sure_stretches(work.repetitions))) {
    const Interval of_set{std::max(zone.from_s, work.parts.set.from_s),
                          std::min(zone.to_s, work.parts.set.to_s)};
    if (of_set.length() <= 0.0) continue;
    for (const Interval& within : near_home(work, of_set, most)) {
      std::vector<Excursion> found = find_excursions(work.t, work.range_angle, 0.0, within, params);
      std::erase_if(found, [&](const Excursion& e) {  // what an edge cuts is not known
        return e.start.time_s < within.from_s + kEdge || e.end.time_s > within.to_s - kEdge;
      });
      all.insert(all.end(), found.begin(), found.end());
    }
  }
  leave_out_backswings(all, work.t, work.range_angle, 0.0, params.away_share);
  return all;
}

/// Of `all`, what goes the set's way.
std::vector<Excursion> alike(const SetWork& work, const std::vector<Excursion>& all,
                             const Usual& usual, double least_range, const RepGateParams& gate) {
  const GridMotion& strap = work.straps[work.repeating].motion;
  const auto range_of = [&](const Excursion&) -> const VectorXd& { return work.range_angle; };
  return without_strange(all, {&strap}, work.t, range_of, least_range,
                         home_of(strap, work.t, usual.wide), gate);
}

std::ptrdiff_t turns_in(const Excursion& rep, const std::vector<Excursion>& all) {
  return std::count_if(all.begin(), all.end(),
                       [&](const Excursion& e) { return turns_within(e, rep); });
}

/// Whether `all` parts the recording as the told reps do, but for what may be something else.
bool agree(const std::vector<Excursion>& told, const std::vector<Excursion>& all,
           const Usual& usual) {
  return std::all_of(told.begin(), told.end(), [&](const Excursion& rep) {
    const auto turns = turns_in(rep, all);
    return turns == 1 || (turns == 0 && usual.doubtful(rep));
  });
}

struct Candidate {
  Excursion e;
  bool sure = false;  ///< it was told, or goes as far from rest at home to rest at home
};

bool is_told(const Excursion& e, const std::vector<Excursion>& told) {
  return std::any_of(told.begin(), told.end(),
                     [&](const Excursion& rep) { return turns_within(e, rep); });
}

/// rad, how far the strap turns about the vertical from an excursion's start to its turn: its way
/// is of the sensor's up, which does not show that.
double turned(const GridMotion& strap, const VectorXd& t, const Excursion& e) {
  const auto at = [&](Index i) { return strap.q_world_from_sensor[static_cast<std::size_t>(i)]; };
  const Index start = nearest_index(t, e.start.time_s);
  return log_rotation(at(e.turn_index) * at(start).conjugate()).dot(world_up());
}

/// Leaves out what turns otherwise about the vertical than the wide told reps do, for its range.
void leave_out_turned_otherwise(std::vector<Excursion>& all, const GridMotion& strap,
                                const VectorXd& t, const std::vector<Excursion>& wide) {
  std::vector<double> per_range;
  per_range.reserve(wide.size());
  for (const Excursion& e : wide) per_range.push_back(turned(strap, t, e) / e.range);
  const double usual = median_of(per_range);
  std::erase_if(all, [&](const Excursion& e) {
    const double otherwise = std::abs(turned(strap, t, e) - usual * e.range);
    return otherwise > kTurnedShare * e.range + kTurnedSlack;
  });
}

/// Whether the strap keeps the posture `home`, to `most`, before an excursion and after it.
bool rests_at_home(const GridMotion& strap, const VectorXd& t, const Excursion& e,
                   const VectorXd& home, double most) {
  const auto keeps = [&](double from_s, double to_s) {
    const Index last = nearest_index(t, to_s);
    for (Index i = nearest_index(t, from_s); i <= last; ++i) {
      const auto& q = strap.q_world_from_sensor[static_cast<std::size_t>(i)];
      if (!((q.conjugate() * world_up() - home).norm() <= most)) return false;
    }
    return true;
  };
  return keeps(e.start.time_s - kRestsFor, e.start.time_s) &&
         keeps(e.end.time_s, e.end.time_s + kRestsFor);
}

/// The told reps, with the borders of the excursion where there is one, and what else is `very`
/// much alike, in time order.
std::vector<Candidate> candidates(const SetWork& work, const std::vector<Excursion>& told,
                                  const std::vector<Excursion>& all,
                                  const std::vector<Excursion>& very, const Usual& usual) {
  const GridMotion& strap = work.straps[work.repeating].motion;
  const VectorXd home = home_of(strap, work.t, usual.wide);
  std::vector<Candidate> out;
  for (const Excursion& e : all) {
    if (is_told(e, told)) out.push_back({e, true});
  }
  for (const Excursion& e : very) {
    if (is_told(e, told) || usual.between(e)) continue;
    out.push_back({e, e.range >= usual.large &&
                          rests_at_home(strap, work.t, e, home, kAtHome * usual.range)});
  }
  for (const Excursion& rep : told) {
    if (turns_in(rep, all) == 0 && !usual.huge(rep)) out.push_back({rep, true});
  }
  std::erase_if(out, [&](const Candidate& c) { return usual.hasty(c.e); });
  std::sort(out.begin(), out.end(),
            [](const Candidate& a, const Candidate& b) { return a.e.turn_index < b.e.turn_index; });
  return out;
}

/// A told rep may be short and go another way than the axis of most turning tells.
void leave_out_fidgeting(std::vector<Candidate>& all, double least_range) {
  std::erase_if(all, [&](const Candidate& c) { return !c.sure && c.e.range < least_range; });
}

/// What is sure and of the set's size, and what is small or was not told and lies beside one of
/// those at once: after a pause it is the posture taken before the set.
std::vector<Excursion> beside_large(const std::vector<Candidate>& all, const Usual& usual) {
  std::vector<char> kept(all.size(), 0);
  for (std::size_t k = 0; k < all.size(); ++k) {
    kept[k] = all[k].sure && all[k].e.range >= usual.large ? 1 : 0;
  }
  const auto near = [&](const Candidate& before, const Candidate& after) {
    const double most = before.sure && after.sure ? kApart : kAtOnce;
    return after.e.start.time_s - before.e.end.time_s <= most * usual.length;
  };
  for (std::size_t k = 1; k < all.size(); ++k) {
    if (kept[k - 1] != 0 && near(all[k - 1], all[k])) kept[k] = 1;
  }
  for (std::size_t k = all.size(); k-- > 1;) {
    if (kept[k] != 0 && near(all[k - 1], all[k])) kept[k - 1] = 1;
  }
  std::vector<Excursion> out;
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (kept[k] != 0) out.push_back(all[k].e);
  }
  return out;
}

}  // namespace

std::vector<Excursion> with_alike(const SetWork& work, const std::vector<Excursion>& told,
                                  const SegmentationParams& params) {
  if (told.empty()) return told;
  const Usual usual(told, params.part_share);
  const std::vector<Excursion> found = excursions_of(work, params, kFarWider * usual.range);
  const std::vector<Excursion> all = alike(work, found, usual, params.least_range, {});
  if (!agree(told, all, usual)) return told;
  RepGateParams strict;
  strict.alike_alone = kAlike;
  std::vector<Excursion> very = alike(work, found, usual, params.least_range, strict);
  leave_out_turned_otherwise(very, work.straps[work.repeating].motion, work.t, usual.wide);
  std::vector<Excursion> slow = told;  // whatever lies where a step was told was not
  std::erase_if(slow, [&](const Excursion& e) { return usual.hasty(e); });
  std::vector<Candidate> reps_of_set = candidates(work, slow, all, very, usual);
  leave_out_fidgeting(reps_of_set, params.least_share * usual.range);
  std::vector<Excursion> reps = beside_large(reps_of_set, usual);
  mark_part_reps(reps, params);
  return reps;
}

}  // namespace strapline::dsp
