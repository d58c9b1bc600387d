#pragma once

#include <optional>

#include <hdf5.h>

#include "strapline/recordings/recording.hpp"

namespace strapline::recordings {

/// The group `calibration` of a strap: as SCHEMA.md says, absent where there was none.
void write_calibration(hid_t strap, const std::optional<DatedCalibration>& calibration);
[[nodiscard]] std::optional<DatedCalibration> read_calibration(hid_t strap);

}  // namespace strapline::recordings
