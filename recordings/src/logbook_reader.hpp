#pragma once

#include <hdf5.h>

#include "strapline/recordings/logbook.hpp"

namespace strapline::recordings {

/// Raises where the file is no logbook or its tables do not agree.
[[nodiscard]] Logbook logbook_from(hid_t root, const LogbookPart& part);

}  // namespace strapline::recordings
