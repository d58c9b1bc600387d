#pragma once

#include <functional>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/movement_spec.hpp"
#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

struct RepGateParams {
  double home_share = 0.4;   ///< 1, of the rep's turn: posture at its ends from the set's usual one
  double home_slack = 0.2;   ///< rad, added to it: people do not stand alike twice
  double alike = 0.8;        ///< 1, correlation of the ways that two reps take
  double hold_share = 0.5;   ///< 1, of the rep's turn: rms posture between the phases from the turn
  double alike_alone = 0.9;  ///< 1, the same where one strap is all that shows them
  double large_share = 0.75;  ///< 1, of the third largest range: so large are the set's own reps
  double lone_ranges = 3.0;   ///< least ranges; one that resembles no other must be as large
};

/// The range angle that an excursion is one of (each side's own, where one works at a time); n.
using RangeOf = std::function<const Eigen::VectorXd&(const Excursion&)>;

/// What all straps do while one excursion goes there and back: each strap's up in its own frame,
/// one below the other.
struct RepPath {
  Eigen::VectorXd start, turn, end;
  double held = 0.0;   ///< rms distance from the turn between the phases
  double range = 0.0;  ///< rad, of the excursion
  Side side = Side::middle;
  /// From where the rep begins: a column for each level of the range angle, while it grows and
  /// while it falls.
  Eigen::MatrixXd there, back;
};

/// `t`: uniform, s; `angle`: the range angle on it.
[[nodiscard]] RepPath path_of(const Excursion& excursion,
                              const std::vector<const GridMotion*>& straps,
                              const Eigen::VectorXd& t, const Eigen::VectorXd& angle);

/// Leaves out what begins or ends on the other side of the start posture, by more than `away_share`
/// of its own range (a thigh that swings from behind): no rep of a movement that starts there.
/// `angle`: the range angle, n, signed about the start posture's `start_level`, rad.
void leave_out_backswings(std::vector<Excursion>& reps, const Eigen::VectorXd& t,
                          const Eigen::VectorXd& angle, double start_level, double away_share);

/// Movements of this range angle count it from how the client stands in the still part, and start
/// there. (A leg that works alone starts from a stance of its own; arms take up a position.)
[[nodiscard]] bool starts_standing(RangeAngle angle);

/// Each strap's up in the middle of `part`, as RepPath holds it.
[[nodiscard]] Eigen::VectorXd posture_in(const std::vector<const GridMotion*>& straps,
                                         const Eigen::VectorXd& t, const Interval& part);

/// For each of the paths, 1 where it is a rep's among these: see without_strange. `start`: the
/// posture that a rep begins and ends in, where it is known beforehand; else empty.
[[nodiscard]] std::vector<char> reps_among(const std::vector<RepPath>& paths, double least_range,
                                           const Eigen::VectorXd& start,
                                           const RepGateParams& params = {});

/// Leaves of the excursions of the range angle those that the straps show to be reps: they
/// begin and end in the set's start posture, stay at the turn between their two phases, and each
/// goes a way that another goes too (the two sides of an alternating movement have a way each), or
/// is deep, comes back and is one of few. A way is what all `straps` do while the angle grows and falls: a
/// stride's thigh goes like a shallow rep's, its shank and the other leg do not. A small excursion
/// must go the way of a large one: as far as it goes, or all of it at a smaller scale. What remains
/// out is a stride, a strap that is being handled, a turn. `least_range` in rad.
[[nodiscard]] std::vector<Excursion> without_strange(const std::vector<Excursion>& excursions,
                                                     const std::vector<const GridMotion*>& straps,
                                                     const Eigen::VectorXd& t,
                                                     const RangeOf& range_of, double least_range,
                                                     const Eigen::VectorXd& start = {},
                                                     const RepGateParams& params = {});

/// Leaves of the excursions those before which `trunk` is turned by `least_turn` rad or more from
/// how it was in `still`, standing: a push-up does not start upright.
[[nodiscard]] std::vector<Excursion> without_standing(const std::vector<Excursion>& excursions,
                                                      const GridMotion& trunk,
                                                      const Eigen::VectorXd& t,
                                                      const Interval& still, double least_turn);

}  // namespace strapline::dsp
