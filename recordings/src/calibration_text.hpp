#pragma once

#include <string>

#include "strapline/recordings/calibration_store.hpp"

namespace strapline::recordings {

/// The TOML that SCHEMA.md describes, and back; parsing raises in one line where it is not that.
[[nodiscard]] std::string calibration_text(const StoredCalibration& stored);
[[nodiscard]] StoredCalibration parse_calibration(const std::string& text);

/// Raises where a calibration cannot be one: not finite, or a gain far from 1.
void check_calibration(const dsp::StrapCalibration& values);

}  // namespace strapline::recordings
