#include "calibration_folder.hpp"

#include "strapline/recordings/calibration_store.hpp"

#include "data_folder.hpp"

namespace strapline::cli {

std::filesystem::path calibration_folder(const std::string& given) {
  return data_folder(given, "STRAPLINE_CALIBRATIONS", "calibrations");
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
