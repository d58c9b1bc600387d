#pragma once

#include <cstdint>
#include <filesystem>

#include "strapline/recordings/recording_file.hpp"

#include "hdf5/image.hpp"

namespace strapline::recordings {

/// The first bytes of a file, and how many it has.
struct FileStart {
  h5::Bytes bytes;
  std::uint64_t file_bytes = 0;
};

/// At most `most` bytes; raises with one line where it is missing, a folder or not readable.
[[nodiscard]] FileStart read_start(const std::filesystem::path& path, std::uint64_t most);

/// The whole file; raises as read_start does.
[[nodiscard]] h5::Bytes read_whole(const std::filesystem::path& path);

/// Writes `path`.part, syncs it to the disk and renames it to `path`: whatever happens, `path`
/// holds either what it held before or all of `bytes`, and no .part stays behind.
/// Raises where `path` exists and may not be replaced, and where the disk refuses.
void write_atomically(const std::filesystem::path& path, const h5::Bytes& bytes,
                      Overwrite overwrite);

/// Raises where `path` exists and may not be replaced: call it before long work.
void refuse_to_replace(const std::filesystem::path& path, Overwrite overwrite);

/// Keeps others from changing files in a folder through this room until it goes out of scope.
class FolderLock {
 public:
  explicit FolderLock(const std::filesystem::path& folder);
  ~FolderLock();
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;

 private:
  int descriptor_ = -1;
};

/// The folder a file lives in; "." for a bare name.
[[nodiscard]] std::filesystem::path folder_of(const std::filesystem::path& path);

}  // namespace strapline::recordings
