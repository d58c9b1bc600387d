#pragma once

#include <exception>
#include <filesystem>
#include <mutex>
#include <string>
#include <type_traits>

#include <hdf5.h>

#include "strapline/dsp/failure.hpp"

namespace strapline::recordings::h5 {

/// Thrown inside this room only; `guarded` turns it into a value at the room's edge.
class Error : public std::exception {
 public:
  explicit Error(dsp::Failure failure) : failure_(std::move(failure)), text_(failure_.line()) {}
  [[nodiscard]] const dsp::Failure& failure() const { return failure_; }
  [[nodiscard]] const char* what() const noexcept override { return text_.c_str(); }

 private:
  dsp::Failure failure_;
  std::string text_;
};

[[noreturn]] void raise(std::string what, std::string where = {}, std::string todo = {});

/// Raises with HDF5's own reason (the innermost entry of its error stack) after `what`.
[[noreturn]] void raise_hdf5(const std::string& what, std::string where = {});

/// The object's path inside the file ("/straps/chest"), with `child` appended if given.
[[nodiscard]] std::string path_of(hid_t object, const std::string& child = {});

/// Holds the room's HDF5 lock (the library is not thread-safe) and keeps HDF5 from printing.
class Session {
 public:
  Session();
  ~Session();
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

 private:
  std::unique_lock<std::recursive_mutex> lock_;
  H5E_auto2_t old_print_ = nullptr;
  void* old_data_ = nullptr;
};

/// "knee.h5: /straps/chest/time: what; todo"; as it is for an empty `file`.
[[nodiscard]] dsp::Failure in_file(dsp::Failure failure, const std::filesystem::path& file);

/// Runs `work` with HDF5 silenced; every exception comes out as one Failure that names `file`.
template <class Work>
auto guarded(const std::filesystem::path& file, Work&& work)
    -> dsp::Result<std::invoke_result_t<Work>> {
  const Session session;
  try {
    if constexpr (std::is_void_v<std::invoke_result_t<Work>>) {
      work();
      return {};
    } else {
      return work();
    }
  } catch (const Error& error) {
    return tl::make_unexpected(in_file(error.failure(), file));
  } catch (const std::exception& error) {
    return dsp::fail(error.what(), file.string());
  }
}

/// Owns one HDF5 identifier of any kind.
class Handle {
 public:
  Handle() = default;
  explicit Handle(hid_t id) : id_(id) {}
  Handle(Handle&& other) noexcept : id_(other.release()) {}
  Handle& operator=(Handle&& other) noexcept;
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  ~Handle() { reset(); }

  [[nodiscard]] hid_t get() const { return id_; }
  [[nodiscard]] bool valid() const { return id_ >= 0; }
  hid_t release();
  void reset();

 private:
  hid_t id_ = -1;
};

/// The identifier, owned; raises with HDF5's reason where it is invalid.
[[nodiscard]] Handle owned(hid_t id, const std::string& what, std::string where = {});

/// Raises with HDF5's reason where a call failed.
void require(herr_t status, const std::string& what, std::string where = {});

}  // namespace strapline::recordings::h5
