#include "keep_recording.hpp"

#include <algorithm>

#include "strapline/recordings/recording_file.hpp"

namespace strapline::cli {
namespace {

bool same_readings(const recordings::StrapRecord& a, const recordings::StrapRecord& b) {
  return a.placement == b.placement && a.tick == b.tick && a.counts.cols() == b.counts.cols() &&
         a.counts == b.counts;
}

}  // namespace

dsp::Result<void> keep_recording(const std::filesystem::path& path,
                                 const recordings::Recording& recording) {
  if (auto written = recordings::write_recording(path, recording); !written) return written;
  const auto back = recordings::read_recording(path);
  if (!back) return tl::make_unexpected(back.error());
  if (!std::equal(back->straps.begin(), back->straps.end(), recording.straps.begin(),
                  recording.straps.end(), same_readings)) {
    return dsp::fail("the file does not hold what was written", path.string(),
                     "check the disk before recording on");
  }
  return {};
}

}  // namespace strapline::cli
