#pragma once

#include <memory>

#include "hdf5/error.hpp"
#include "hdf5/file_start.hpp"

namespace strapline::recordings::h5 {

/// An HDF5 file that lives in memory. The disk is touched by our own checked calls only: HDF5
/// 1.10.8 crashes when the disk fills up under an open file (seen with a file size limit), and a
/// file is easier to write completely or not at all when its bytes are known beforehand.
class Image {
 public:
  enum class Access { read, write };

  /// A new, empty file in the 1.10 format, whose metadata carries checksums throughout.
  [[nodiscard]] static Image create();

  /// The file that `bytes` holds; raises where it is none, is cut short, or is damaged.
  [[nodiscard]] static Image open(const Bytes& bytes, Access access);

  [[nodiscard]] hid_t root() const { return root_.get(); }

  /// Closes the file and returns its bytes.
  [[nodiscard]] Bytes finish();

 private:
  struct Buffer;
  struct FreeBuffer {
    void operator()(Buffer* buffer) const;
  };

  Image();
  void open_root();

  // Order matters: the file is closed before the buffer it lives in goes.
  std::unique_ptr<Buffer, FreeBuffer> buffer_;
  Handle file_;
  Handle root_;
};

}  // namespace strapline::recordings::h5
