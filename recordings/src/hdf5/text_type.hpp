#pragma once

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "hdf5/error.hpp"

namespace strapline::recordings::h5 {

/// UTF-8 of `length` bytes (at least 1), padded with zeros.
[[nodiscard]] inline Handle fixed_text_type(std::size_t length) {
  Handle type = owned(H5Tcopy(H5T_C_S1), "cannot describe a text");
  require(H5Tset_size(type.get(), std::max<std::size_t>(length, 1)), "cannot describe a text");
  require(H5Tset_cset(type.get(), H5T_CSET_UTF8), "cannot describe a text");
  require(H5Tset_strpad(type.get(), H5T_STR_NULLPAD), "cannot describe a text");
  return type;
}

/// UTF-8 of any length, as h5py writes it.
[[nodiscard]] inline Handle variable_text_type() {
  Handle type = owned(H5Tcopy(H5T_C_S1), "cannot describe a text");
  require(H5Tset_size(type.get(), H5T_VARIABLE), "cannot describe a text");
  require(H5Tset_cset(type.get(), H5T_CSET_UTF8), "cannot describe a text");
  return type;
}

/// Texts that HDF5 allocates, given back to it.
class VariableTexts {
 public:
  explicit VariableTexts(std::size_t count) : texts_(count, nullptr) {}
  ~VariableTexts() {
    for (char* text : texts_) H5free_memory(text);
  }
  VariableTexts(const VariableTexts&) = delete;
  VariableTexts& operator=(const VariableTexts&) = delete;

  [[nodiscard]] char** data() { return texts_.data(); }
  [[nodiscard]] std::string text(std::size_t i) const {
    return texts_[i] == nullptr ? std::string() : std::string(texts_[i]);
  }

 private:
  std::vector<char*> texts_;
};

/// Without the padding of its fixed-length type.
[[nodiscard]] inline std::string trimmed(std::string_view text, const Handle& type) {
  std::string kept(text.substr(0, text.find('\0')));
  if (H5Tget_strpad(type.get()) == H5T_STR_SPACEPAD) {
    kept.erase(kept.find_last_not_of(' ') + 1);
  }
  return kept;
}

}  // namespace strapline::recordings::h5
