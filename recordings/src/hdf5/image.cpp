#include "hdf5/image.hpp"

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <cstring>

namespace strapline::recordings::h5 {

/// What HDF5 calls back for memory; it keeps the last block when the file closes, because
/// H5Fget_file_image of an open file gives a superblock with a wrong checksum (HDF5 1.10.8).
struct Image::Buffer {
  void* data = nullptr;
  std::size_t size = 0;
  bool ours = false;  ///< the file is closed: the block is no longer HDF5's

  ~Buffer() {
    if (ours) std::free(data);
  }
  Buffer() = default;
  Buffer(const Buffer&) = delete;
  Buffer& operator=(const Buffer&) = delete;

  static void* allocate(std::size_t size, H5FD_file_image_op_t op, void* self) {
    void* block = std::malloc(size);
    if (op == H5FD_FILE_IMAGE_OP_FILE_OPEN) static_cast<Buffer*>(self)->hold(block, size);
    return block;
  }
  static void* copy(void* to, const void* from, std::size_t size, H5FD_file_image_op_t, void*) {
    return std::memcpy(to, from, size);
  }
  static void* resize(void* block, std::size_t size, H5FD_file_image_op_t, void* self) {
    void* grown = std::realloc(block, size);
    if (grown != nullptr) static_cast<Buffer*>(self)->hold(grown, size);
    return grown;
  }
  static herr_t release(void* block, H5FD_file_image_op_t op, void* self) {
    if (op == H5FD_FILE_IMAGE_OP_FILE_CLOSE) {
      static_cast<Buffer*>(self)->ours = true;
    } else {
      std::free(block);
    }
    return 0;
  }
  static void* share(void* self) { return self; }
  static herr_t unshare(void*) { return 0; }

  void hold(void* block, std::size_t bytes) {
    data = block;
    size = bytes;
  }
};

namespace {

Handle memory_access(const H5FD_file_image_callbacks_t& callbacks) {
  constexpr std::size_t kIncrement = 1 << 16;
  Handle access = owned(H5Pcreate(H5P_FILE_ACCESS), "cannot prepare a file in memory");
  require(H5Pset_libver_bounds(access.get(), H5F_LIBVER_V110, H5F_LIBVER_V110),
          "cannot choose the file format");
  require(H5Pset_fapl_core(access.get(), kIncrement, false), "cannot prepare a file in memory");
  H5FD_file_image_callbacks_t copy = callbacks;
  require(H5Pset_file_image_callbacks(access.get(), &copy), "cannot prepare a file in memory");
  return access;
}

}  // namespace

void Image::FreeBuffer::operator()(Buffer* buffer) const { delete buffer; }

Image::Image() : buffer_(new Buffer) {}

void Image::open_root() { root_ = owned(H5Gopen2(file_.get(), "/", H5P_DEFAULT), "damaged file"); }

namespace {

template <class Buffer>
H5FD_file_image_callbacks_t callbacks_of(Buffer* buffer) {
  return {Buffer::allocate, Buffer::copy,    Buffer::resize, Buffer::release,
          Buffer::share,    Buffer::unshare, buffer};
}

}  // namespace

Image Image::create() {
  Image image;
  const Handle access = memory_access(callbacks_of(image.buffer_.get()));
  const Handle creation = owned(H5Pcreate(H5P_FILE_CREATE), "cannot prepare a file");
  // Equal content gives equal bytes: no time stamps in the objects.
  require(H5Pset_obj_track_times(creation.get(), false), "cannot prepare a file");
  image.file_ = owned(H5Fcreate("memory", H5F_ACC_TRUNC, creation.get(), access.get()),
                      "cannot make a file in memory");
  image.open_root();
  return image;
}

Image Image::open(const Bytes& bytes, Access access_mode) {
  check_start(bytes, bytes.size());
  Image image;
  const Handle access = memory_access(callbacks_of(image.buffer_.get()));
  // HDF5 copies the bytes at once and never writes to them.
  require(H5Pset_file_image(access.get(), const_cast<std::byte*>(bytes.data()), bytes.size()),
          "cannot read the file");
  const unsigned flags = access_mode == Access::write ? H5F_ACC_RDWR : H5F_ACC_RDONLY;
  image.file_ = owned(H5Fopen("memory", flags, access.get()), "the file is damaged or cut short");
  image.open_root();
  return image;
}

Bytes Image::finish() {
  root_.reset();
  require(H5Fclose(file_.release()), "cannot complete the file");
  if (!buffer_->ours) raise("cannot complete the file: an object of it is still open");
  const auto* data = static_cast<const std::byte*>(buffer_->data);
  const std::uint64_t end = stated_end({data, buffer_->size}).value_or(buffer_->size);
  return {data, data + std::min<std::uint64_t>(end, buffer_->size)};
}

}  // namespace strapline::recordings::h5
