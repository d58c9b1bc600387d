#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::recordings {

/// One strap's calibration as it is kept between recordings.
struct StoredCalibration {
  std::uint64_t device_id = 0;
  DatedCalibration calibration;
};

/// The file of a device: FOLDER/0123456789abcdef.toml.
[[nodiscard]] std::filesystem::path calibration_file(const std::filesystem::path& folder,
                                                     std::uint64_t device_id);

/// Writes the device's file as a whole or not at all, in place of an earlier one; makes the folder.
/// Fails for device 0 (a strap that says no name) and where the disk refuses.
[[nodiscard]] dsp::Result<void> store_calibration(const std::filesystem::path& folder,
                                                  const StoredCalibration& stored);

/// The device's calibration; empty where there is none. Fails in one line that names the file where
/// it is not TOML, of a newer version, another device's, incomplete, or holds impossible numbers.
[[nodiscard]] dsp::Result<std::optional<StoredCalibration>> find_calibration(
    const std::filesystem::path& folder, std::uint64_t device_id);

/// All devices of a folder in the order of their ids; files that cannot be read as failures.
struct CalibrationList {
  std::vector<StoredCalibration> found;
  std::vector<dsp::Failure> broken;
};
[[nodiscard]] CalibrationList list_calibrations(const std::filesystem::path& folder);

}  // namespace strapline::recordings
