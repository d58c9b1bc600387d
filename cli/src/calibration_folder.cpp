#include "calibration_folder.hpp"

#include <cstdlib>

#include "strapline/recordings/calibration_store.hpp"

namespace strapline::cli {
namespace {

std::string variable(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? std::string() : value;
}

}  // namespace

std::filesystem::path calibration_folder(const std::string& given) {
  if (!given.empty()) return given;
  if (const auto own = variable("STRAPLINE_CALIBRATIONS"); !own.empty()) return own;
  const std::filesystem::path ours = "strapline/calibrations";
  if (const auto data = variable("XDG_DATA_HOME"); !data.empty()) return data / ours;
  return std::filesystem::path(variable("HOME")) / ".local/share" / ours;
}

void take_calibrations(const std::filesystem::path& folder, recordings::Recording& recording,
                       std::ostream& err) {
  for (recordings::StrapRecord& strap : recording.straps) {
    const auto stored = recordings::find_calibration(folder, strap.device_id);
    if (!stored) {
      err << "strapline: " << stored.error().line() << " (recorded as not calibrated)\n";
    } else if (*stored) {
      strap.calibration = (*stored)->calibration;
    }
  }
}

std::string calibration_words(const recordings::StrapRecord& strap) {
  if (!strap.calibration) return "not calibrated";
  return "calibrated " + strap.calibration->made_utc.substr(0, 10);
}

}  // namespace strapline::cli
