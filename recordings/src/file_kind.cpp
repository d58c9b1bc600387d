#include "strapline/recordings/file_kind.hpp"

#include "atomic_file.hpp"
#include "file_format.hpp"
#include "hdf5/file_in_place.hpp"

namespace strapline::recordings {
namespace {

FileKind kind_of(const std::filesystem::path& path) {
  constexpr std::uint64_t kStart = 8;  // our files start with the signature
  if (!h5::has_signature(read_start(path, kStart).bytes)) return FileKind::other;
  const auto file = h5::FileInPlace::open(path);
  const auto format = h5::find_text(file.root(), "format");
  if (format == schema::kRecording) return FileKind::recording;
  return format == schema::kLogbook ? FileKind::logbook : FileKind::other;
}

}  // namespace

dsp::Result<FileKind> file_kind(const std::filesystem::path& path) {
  return h5::guarded(path, [&] { return kind_of(path); });
}

}  // namespace strapline::recordings
