#include "strapline/recordings/file_kind.hpp"

#include <algorithm>
#include <array>

#include "atomic_file.hpp"
#include "file_format.hpp"
#include "hdf5/image.hpp"

namespace strapline::recordings {
namespace {

// HDF5 File Format Specification 3.0, III.A: the format signature, at the start of our files.
constexpr std::array<unsigned char, 8> kSignature{0x89, 'H', 'D', 'F', '\r', '\n', 0x1A, '\n'};

bool is_hdf5(const h5::Bytes& bytes) {
  return bytes.size() >= kSignature.size() &&
         std::equal(kSignature.begin(), kSignature.end(), bytes.begin(),
                    [](unsigned char a, std::byte b) { return std::byte{a} == b; });
}

FileKind kind_of(const h5::Bytes& bytes) {
  if (!is_hdf5(bytes)) return FileKind::other;
  const h5::Image image = h5::Image::open(bytes, h5::Image::Access::read);
  const auto format = h5::find_text(image.root(), "format");
  if (format == schema::kRecording) return FileKind::recording;
  return format == schema::kLogbook ? FileKind::logbook : FileKind::other;
}

}  // namespace

dsp::Result<FileKind> file_kind(const std::filesystem::path& path) {
  return h5::guarded(path, [&] { return kind_of(read_whole(path)); });
}

}  // namespace strapline::recordings
