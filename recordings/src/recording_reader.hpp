#pragma once

#include <string>
#include <vector>

#include "strapline/recordings/recording.hpp"

#include "hdf5/error.hpp"

namespace strapline::recordings {

/// Names of the strap groups in the order in which they were written.
[[nodiscard]] std::vector<std::string> strap_names(hid_t root);

/// One strap, read through (which verifies its checksums); raises as read_recording fails.
[[nodiscard]] StrapRecord read_strap(hid_t root, const std::string& name);

/// Everything but the straps.
[[nodiscard]] Recording read_description(hid_t root);

}  // namespace strapline::recordings
