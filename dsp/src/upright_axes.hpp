#pragma once

#include <string>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/segmentation.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// A line for each knee and elbow whose axis stays within 30° of vertical in the reps: its flexion
/// then rests on two headings, which gravity does not show and which drift; the uncertainty says by
/// how much, the line says why.
[[nodiscard]] std::vector<std::string> upright_axes(const std::vector<PreparedStrap>& straps,
                                                    const Eigen::VectorXd& t,
                                                    const std::vector<Excursion>& excursions);

}  // namespace strapline::dsp
