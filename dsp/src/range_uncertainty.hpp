#pragma once

#include <vector>

#include "set_work.hpp"

namespace strapline::dsp {

/// The segments of one side between which a range angle opens; of a thigh's swing the thigh alone.
/// Empty where the movement has no such angle.
[[nodiscard]] std::vector<Segment> range_segments(RangeAngle angle);

/// Standard uncertainty, rad, of each excursion's range. How a segment stands or hangs is the same
/// at both ends of it and cancels. `depth_share`: n, as TraceSource's.
[[nodiscard]] std::vector<double> range_uncertainty(const SetWork& work,
                                                    const Eigen::VectorXd& depth_share);

}  // namespace strapline::dsp
