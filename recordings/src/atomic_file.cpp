#include "atomic_file.hpp"

#include <algorithm>
#include <cerrno>
#include <limits>
#include <string>
#include <system_error>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

namespace strapline::recordings {
namespace {

[[noreturn]] void raise_errno(const std::string& what, const std::string& todo = {}) {
  h5::raise(what + " (" + std::generic_category().message(errno) + ")", {}, todo);
}

class Descriptor {
 public:
  explicit Descriptor(int id) : id_(id) {}
  ~Descriptor() {
    if (id_ >= 0) ::close(id_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  [[nodiscard]] int get() const { return id_; }

 private:
  int id_;
};

// The temporary file beside the target, ours alone while it is open, and gone again unless it has
// been renamed. Two programs that write the same target must not share one: the second is refused.
class PartFile {
 public:
  explicit PartFile(const std::filesystem::path& target)
      : path_(target.string() + ".part"),
        file_(::open(path_.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0666)) {
    if (file_.get() < 0) raise_errno("cannot create the file", "check the folder");
    if (::flock(file_.get(), LOCK_EX | LOCK_NB) != 0 || !still_named()) {
      h5::raise("another program is writing this file", {}, "try again");
    }
    ours_ = true;
    // What an earlier, killed program left in it goes.
    if (::ftruncate(file_.get(), 0) != 0) raise_errno("cannot empty the temporary file");
  }
  ~PartFile() {
    if (ours_) ::unlink(path_.c_str());
  }
  PartFile(const PartFile&) = delete;
  PartFile& operator=(const PartFile&) = delete;

  [[nodiscard]] int descriptor() const { return file_.get(); }
  void rename_to(const std::filesystem::path& target) {
    if (::rename(path_.c_str(), target.c_str()) != 0) raise_errno("cannot rename the file");
    ours_ = false;
  }

 private:
  // Between our open and our lock the other program may have renamed what we opened.
  [[nodiscard]] bool still_named() const {
    struct stat open_file {};
    struct stat named {};
    return ::fstat(file_.get(), &open_file) == 0 && ::stat(path_.c_str(), &named) == 0 &&
           open_file.st_ino == named.st_ino && open_file.st_dev == named.st_dev;
  }

  std::string path_;
  Descriptor file_;
  bool ours_ = false;
};

void write_all(int descriptor, const h5::Bytes& bytes) {
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t written = ::write(descriptor, bytes.data() + done, bytes.size() - done);
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) raise_errno("cannot write the file", "make room on the disk");
    done += static_cast<std::size_t>(written);
  }
}

// A rename is only safe from a power cut once the folder is on the disk too. Some network file
// systems refuse to sync a folder; the file itself is synced then.
void sync_folder(const std::filesystem::path& folder) {
  const Descriptor descriptor(::open(folder.c_str(), O_RDONLY | O_DIRECTORY));
  if (descriptor.get() >= 0) ::fsync(descriptor.get());
}

}  // namespace

std::filesystem::path folder_of(const std::filesystem::path& path) {
  return path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
}

FileStart read_start(const std::filesystem::path& path, std::uint64_t most) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.get() < 0 && errno == ENOENT) h5::raise("no such file", {}, "check the name");
  if (file.get() < 0) raise_errno("cannot open the file");
  struct stat status {};
  if (::fstat(file.get(), &status) != 0) raise_errno("cannot open the file");
  if (!S_ISREG(status.st_mode)) h5::raise("not a file", {}, "give the name of a file");
  FileStart start{{}, static_cast<std::uint64_t>(status.st_size)};
  start.bytes.resize(std::min(most, start.file_bytes));
  std::size_t done = 0;
  while (done < start.bytes.size()) {
    const ssize_t got = ::read(file.get(), start.bytes.data() + done, start.bytes.size() - done);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) raise_errno("cannot read the file");
    if (got == 0) h5::raise("the file became shorter while it was read", {}, "try again");
    done += static_cast<std::size_t>(got);
  }
  return start;
}

h5::Bytes read_whole(const std::filesystem::path& path) {
  return read_start(path, std::numeric_limits<std::uint64_t>::max()).bytes;
}

void refuse_to_replace(const std::filesystem::path& path, Overwrite overwrite) {
  std::error_code ignored;
  if (overwrite == Overwrite::no && std::filesystem::exists(path, ignored)) {
    h5::raise("the file exists already", {}, "choose another name, or give --overwrite");
  }
}

void write_atomically(const std::filesystem::path& path, const h5::Bytes& bytes,
                      Overwrite overwrite) {
  refuse_to_replace(path, overwrite);
  PartFile part(path);
  write_all(part.descriptor(), bytes);
  if (::fsync(part.descriptor()) != 0) raise_errno("cannot write the file to the disk");
  refuse_to_replace(path, overwrite);
  part.rename_to(path);
  sync_folder(folder_of(path));
}

FolderLock::FolderLock(const std::filesystem::path& folder)
    : descriptor_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
  if (descriptor_ < 0) raise_errno("cannot open the folder", "make it first");
  if (::flock(descriptor_, LOCK_EX) != 0) {
    ::close(descriptor_);
    raise_errno("cannot lock the folder");
  }
}

FolderLock::~FolderLock() { ::close(descriptor_); }

}  // namespace strapline::recordings
