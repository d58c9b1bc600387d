#include "hdf5/file_in_place.hpp"

#include "atomic_file.hpp"

namespace strapline::recordings::h5 {
namespace {

// A user block before the file is another program's; it may be as long as it likes.
void check_file(const std::filesystem::path& path) {
  constexpr std::size_t kStart = 512;
  const FileStart start = read_start(path, kStart);
  if (has_signature(start.bytes) || start.file_bytes <= kStart) {
    return check_start(start.bytes, start.file_bytes);
  }
  const Bytes whole = read_whole(path);
  check_start(whole, whole.size());
}

Handle disk_access() {
  Handle access = owned(H5Pcreate(H5P_FILE_ACCESS), "cannot prepare to read a file");
  // Nothing of a damaged file may stay open: HDF5 would take the next file in its place for it.
  require(H5Pset_fclose_degree(access.get(), H5F_CLOSE_STRONG), "cannot prepare to read a file");
  // Our files are replaced by a rename and never changed, so they can be read without a lock, which
  // a read-only or a network file system may refuse.
  require(H5Pset_file_locking(access.get(), false, true), "cannot prepare to read a file");
  return access;
}

}  // namespace

FileInPlace FileInPlace::open(const std::filesystem::path& path) {
  check_file(path);
  FileInPlace file;
  const Handle access = disk_access();
  file.file_ = owned(H5Fopen(path.c_str(), H5F_ACC_RDONLY, access.get()),
                     "the file is damaged or cut short");
  file.root_ = owned(H5Gopen2(file.file_.get(), "/", H5P_DEFAULT), "damaged file");
  return file;
}

}  // namespace strapline::recordings::h5
