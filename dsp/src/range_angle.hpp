#pragma once

#include "set_work.hpp"

namespace strapline::dsp {

/// The segments of one side between which a range angle opens; of a thigh's swing the thigh alone.
/// Empty where the movement has no such angle.
[[nodiscard]] std::vector<Segment> range_segments(RangeAngle angle);

/// Aligns the straps and finds the angle whose excursions are the reps: the movement's own, or,
/// where the straps worn do not show it, the turn of the strap that repeats most.
void find_range_angle(SetWork& work);

/// Aligns the straps, each by itself, as the movement's own range angle needs it.
void align_for_range(SetWork& work);

/// The movement's own range angle over the grid: one, or each side's where one leg works at a time.
struct OwnAngle {
  Side side = Side::middle;
  Eigen::VectorXd value;  ///< n, rad, NaN where no side is known
};
/// From what is aligned in `work`; empty where that does not show the angle.
[[nodiscard]] std::vector<OwnAngle> own_range_angles(const SetWork& work);

/// The movement's own angle again, after the straps were aligned better.
void refresh_range_angle(SetWork& work);

}  // namespace strapline::dsp
