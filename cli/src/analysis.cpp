#include "strapline/cli/analysis.hpp"

#include "strapline/coaching/movement.hpp"

namespace strapline::cli {

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
  return dsp::analyse_set(*input);
}

}  // namespace strapline::cli
