#include "hdf5/error.hpp"

#include <utility>

namespace strapline::recordings::h5 {
namespace {

std::recursive_mutex& library_mutex() {
  static std::recursive_mutex mutex;
  return mutex;
}

// Walked from the innermost call outwards; the first entry says what really happened.
herr_t keep_first(unsigned position, const H5E_error2_t* entry, void* out) {
  if (position == 0 && entry->desc != nullptr) *static_cast<std::string*>(out) = entry->desc;
  return 0;
}

std::string reason() {
  std::string text;
  H5Ewalk2(H5E_DEFAULT, H5E_WALK_UPWARD, keep_first, &text);
  return text.empty() ? "no reason given" : text;
}

}  // namespace

void raise(std::string what, std::string where, std::string todo) {
  throw Error({std::move(what), std::move(where), std::move(todo)});
}

void raise_hdf5(const std::string& what, std::string where) {
  raise(what + " (HDF5: " + reason() + ")", std::move(where));
}

std::string path_of(hid_t object, const std::string& child) {
  std::string path;
  const ssize_t length = H5Iget_name(object, nullptr, 0);
  if (length > 0) {
    path.resize(static_cast<std::size_t>(length) + 1);
    H5Iget_name(object, path.data(), path.size());
    path.pop_back();
  }
  if (child.empty()) return path;
  return path.ends_with('/') ? path + child : path + "/" + child;
}

Session::Session() : lock_(library_mutex()) {
  H5Eget_auto2(H5E_DEFAULT, &old_print_, &old_data_);
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
}

Session::~Session() { H5Eset_auto2(H5E_DEFAULT, old_print_, old_data_); }

dsp::Failure in_file(dsp::Failure failure, const std::filesystem::path& file) {
  if (file.empty()) return failure;
  failure.where = failure.where.empty() ? file.string() : file.string() + ": " + failure.where;
  return failure;
}

Handle& Handle::operator=(Handle&& other) noexcept {
  if (this != &other) {
    reset();
    id_ = other.release();
  }
  return *this;
}

hid_t Handle::release() { return std::exchange(id_, -1); }

void Handle::reset() {
  if (id_ >= 0) H5Idec_ref(release());
}

Handle owned(hid_t id, const std::string& what, std::string where) {
  if (id < 0) raise_hdf5(what, std::move(where));
  return Handle(id);
}

void require(herr_t status, const std::string& what, std::string where) {
  if (status < 0) raise_hdf5(what, std::move(where));
}

}  // namespace strapline::recordings::h5
