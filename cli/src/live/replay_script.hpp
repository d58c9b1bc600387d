#pragma once

#include <string>
#include <vector>

#include "strapline/acquisition/virtual_strap.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// A recording's straps as virtual ones.
struct ReplayScript {
  std::vector<acquisition::StrapScript> straps;  ///< named by placement, "other_2" and so on
  std::vector<std::string> notes;                ///< what is not as in the file, one line each
};

/// Counts are played as they are. Imported ones that do not fit the wire's 16 bits, or whose scale
/// is finer than the wire can say, are rescaled: the coarsest count then is 1/32767 of the largest
/// reading. Times that no device clock could have ticked are put on a clock of 1 MHz.
[[nodiscard]] ReplayScript to_script(const recordings::Recording& recording);

}  // namespace strapline::cli
