#include "strapline/recordings/calibration_store.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "atomic_file.hpp"
#include "calibration_text.hpp"

namespace strapline::recordings {
namespace fs = std::filesystem;

fs::path calibration_file(const fs::path& folder, std::uint64_t device_id) {
  return folder / fmt::format("{:016x}.toml", device_id);
}

dsp::Result<void> store_calibration(const fs::path& folder, const StoredCalibration& stored) {
  if (stored.device_id == 0) {
    return dsp::fail("the strap has no device id to keep a calibration under", "calibration",
                     "record from the strap itself");
  }
  const fs::path file = calibration_file(folder, stored.device_id);
  return h5::guarded(file, [&] {
    fs::create_directories(folder);
    const std::string text = calibration_text(stored);
    h5::Bytes bytes(text.size());
    std::transform(text.begin(), text.end(), bytes.begin(),
                   [](char c) { return static_cast<h5::Bytes::value_type>(c); });
    write_atomically(file, bytes, Overwrite::yes);
  });
}

dsp::Result<std::optional<StoredCalibration>> find_calibration(const fs::path& folder,
                                                               std::uint64_t device_id) {
  const fs::path file = calibration_file(folder, device_id);
  std::error_code ignored;
  if (device_id == 0 || !fs::exists(file, ignored)) return std::nullopt;
  return h5::guarded(file, [&]() -> std::optional<StoredCalibration> {
    const h5::Bytes bytes = read_whole(file);
    std::string text(bytes.size(), '\0');
    std::transform(bytes.begin(), bytes.end(), text.begin(),
                   [](auto byte) { return static_cast<char>(byte); });
    StoredCalibration stored = parse_calibration(text);
    if (stored.device_id != device_id) {
      h5::raise(fmt::format("it is of device {:016x}", stored.device_id), {},
                "give the file that device's name, or remove it");
    }
    return stored;
  });
}

CalibrationList list_calibrations(const fs::path& folder) {
  CalibrationList list;
  std::error_code error;
  std::vector<fs::path> files;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    if (it->path().extension() == ".toml") files.push_back(it->path());
  }
  std::sort(files.begin(), files.end());
  for (const fs::path& file : files) {
    const std::string name = file.stem().string();
    const bool ours =
        name.size() == 16 && name.find_first_not_of("0123456789abcdef") == std::string::npos;
    if (!ours) continue;
    const auto stored = find_calibration(folder, std::stoull(name, nullptr, 16));
    if (!stored)
      list.broken.push_back(stored.error());
    else if (*stored)
      list.found.push_back(**stored);
  }
  return list;
}

}  // namespace strapline::recordings
