#include "reviewed_set.hpp"

#include "strapline/cli/analysis.hpp"
#include "strapline/recordings/recording_file.hpp"

namespace strapline::cli {
namespace {

dsp::Failure in_file(dsp::Failure failure, const std::filesystem::path& file) {
  failure.where = failure.where.empty() ? file.string() : file.string() + ": " + failure.where;
  return failure;
}

}  // namespace

dsp::Result<ReviewedSet> review_file(const std::filesystem::path& file,
                                     const std::string& movement) {
  auto recording = recordings::read_recording(file);
  if (!recording) return tl::make_unexpected(recording.error());
  const std::string name = movement.empty() ? recording->description.movement : movement;
  auto loaded = coaching::load_movement(name);
  if (!loaded) {
    // One's own --movement is named by the failure itself; only the recording's needs its file.
    if (!movement.empty()) return tl::make_unexpected(loaded.error());
    return tl::make_unexpected(in_file(loaded.error(), file));
  }
  auto analysis = analyse(*recording, name);
  if (!analysis) return tl::make_unexpected(in_file(analysis.error(), file));
  recording->description.movement = loaded->name;
  return ReviewedSet{file, std::move(*recording), std::move(*loaded), std::move(*analysis)};
}

}  // namespace strapline::cli
