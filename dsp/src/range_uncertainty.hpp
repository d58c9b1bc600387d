#pragma once

#include <vector>

#include "set_work.hpp"

namespace strapline::dsp {

/// Standard uncertainty, rad, of each excursion's range. How a segment stands or hangs is the same
/// at both ends of it and cancels. `depth_share`: n, as TraceSource's.
[[nodiscard]] std::vector<double> range_uncertainty(const SetWork& work,
                                                    const Eigen::VectorXd& depth_share);

}  // namespace strapline::dsp
