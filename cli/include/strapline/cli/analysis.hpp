#pragma once

#include <string>

#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// A recording as the computation takes it: SI series, parts, body, and what it needs of the
/// movement named in the recording, or of `movement` (a name or a .toml file) where that is not
/// empty. Fails where there is no such movement.
[[nodiscard]] dsp::Result<dsp::SetInput> to_set_input(const recordings::Recording& recording,
                                                      const std::string& movement = {});

/// to_set_input and analyse_set in one.
[[nodiscard]] dsp::Result<dsp::SetAnalysis> analyse(const recordings::Recording& recording,
                                                    const std::string& movement = {});

}  // namespace strapline::cli
