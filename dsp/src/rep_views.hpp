#pragma once

#include <functional>
#include <vector>

#include "set_work.hpp"

namespace strapline::dsp {

/// Indices of t, inclusive.
struct Samples {
  Eigen::Index first, last;
};

/// A signal that shows the reps, each from its own start, and what is usual of the full ones in it.
struct RepView {
  /// rad, of the given samples: how far the strap is from where it is at `home`, an index of t; NaN
  /// where not known.
  std::function<Eigen::VectorXd(Samples samples, Eigen::Index home)> from_home;
  double range = 0.0;       ///< rad, usual
  double least = 0.0;       ///< rad: less is no part rep
  double most = 0.0;        ///< rad: as much is none
  bool shows_full = false;  ///< whether it tells a full rep, too

  /// As wide as some rep that it shows.
  [[nodiscard]] bool rep_wide(double rad) const {
    return rad >= least && (shows_full ? !too_wide(rad) : rad < most);
  }
  /// Wider than a part rep, and narrower than full ones usually are.
  [[nodiscard]] bool narrow(double rad) const {
    return shows_full && rad >= most && rad < kAsWide * range;
  }
  [[nodiscard]] bool too_wide(double rad) const { return rad >= kWiderYet * range; }

 private:
  static constexpr double kWiderYet = 1.2;  // 1, of the usual range: a full rep goes no further
};

/// rad, how far and about what axis (of the sensor) the strap turns from `home` to `i`, indices.
[[nodiscard]] Eigen::Vector3d turn_between(const GridMotion& strap, Eigen::Index home,
                                           Eigen::Index i);

/// The strap's turn, about whatever axis: a shallow rep may go another way than deep ones. `full`:
/// at least one excursion of the set. `work` outlives the view.
[[nodiscard]] RepView view_of_turns(const SetWork& work, const std::vector<Excursion>& full,
                                    double part_share);

/// The strap's height, a metre as two radians; `reps`, in time order, tell where it is at home.
[[nodiscard]] RepView view_of_heights(const SetWork& work, const std::vector<Excursion>& reps,
                                      const std::vector<Excursion>& full, double part_share);

}  // namespace strapline::dsp
