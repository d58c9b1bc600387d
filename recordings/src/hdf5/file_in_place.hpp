#pragma once

#include <filesystem>

#include "hdf5/error.hpp"

namespace strapline::recordings::h5 {

/// An HDF5 file on the disk, read where it lies: only the blocks that are asked for are fetched.
/// For reading alone; what is written is composed as an Image.
class FileInPlace {
 public:
  /// Raises as read_whole and Image::open do.
  [[nodiscard]] static FileInPlace open(const std::filesystem::path& path);

  [[nodiscard]] hid_t root() const { return root_.get(); }

 private:
  Handle file_;
  Handle root_;
};

}  // namespace strapline::recordings::h5
