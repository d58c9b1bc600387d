#pragma once

#include <Eigen/Core>

#include "set_work.hpp"

namespace strapline::dsp {

/// n, how far soft tissue is pulled, as TraceSource's: where the joint that does it is seen, its
/// flexion as a share of kFullFlexion, at which the tissue's turn is stated; else from 0 at the
/// start posture to 1 at the set's deepest point.
[[nodiscard]] Eigen::VectorXd depth_share(const SetWork& work);

}  // namespace strapline::dsp
