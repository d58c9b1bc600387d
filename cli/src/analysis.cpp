#include "strapline/cli/analysis.hpp"

#include "strapline/coaching/movement.hpp"

#include "calibration_folder.hpp"

namespace strapline::cli {
namespace {

/// Says which straps were calibrated, and when; nothing where none was.
void note_calibrations(const recordings::Recording& recording, std::vector<std::string>& notes) {
  bool any = false;
  std::string text;
  for (const recordings::StrapRecord& strap : recording.straps) {
    text += (text.empty() ? "" : "; ") + dsp::to_string(strap.placement) + ": " +
            calibration_words(strap);
    any = any || strap.calibration.has_value();
  }
  if (any) notes.push_back(text);
}

}  // namespace

dsp::Result<dsp::SetInput> to_set_input(const recordings::Recording& recording,
                                        const std::string& movement) {
  const auto loaded =
      coaching::load_movement(movement.empty() ? recording.description.movement : movement);
  if (!loaded) return tl::make_unexpected(loaded.error());
  dsp::SetInput input;
  for (const recordings::StrapRecord& strap : recording.straps) {
    input.straps.push_back(recordings::to_series(strap));
  }
  input.parts = recording.parts;
  input.body = recording.body;
  input.movement = coaching::to_spec(*loaded);
  return input;
}

dsp::Result<dsp::SetAnalysis> analyse(const recordings::Recording& recording,
                                      const std::string& movement) {
  const auto input = to_set_input(recording, movement);
  if (!input) return tl::make_unexpected(input.error());
  auto analysis = dsp::analyse_set(*input);
  if (analysis) note_calibrations(recording, analysis->notes);
  return analysis;
}

}  // namespace strapline::cli
