#pragma once

#include <string>
#include <vector>

#include "strapline/recordings/synthetic/synthesize.hpp"

#include "strap_record.hpp"

namespace strapline::recordings::synthetic {

/// The truth as JSON text, in the units people read (deg, cm, s); layout in the room's README.
[[nodiscard]] std::string truth_json(const BodyMotion& motion, const std::vector<RepTruth>& reps,
                                     const std::vector<SyntheticStrap>& straps,
                                     const TruthDetail& detail);

}  // namespace strapline::recordings::synthetic
