#pragma once

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace strapline::recordings::h5 {

/// A column of texts as it lies in the file, each of one width and padded: no allocation per row.
class PackedTexts {
 public:
  PackedTexts(std::size_t rows, std::size_t width, bool space_padded)
      : rows_(rows), width_(width), space_padded_(space_padded), bytes_(rows * width) {}

  /// Of texts that are each as long as they are.
  template <class TextOf>
  PackedTexts(std::size_t rows, TextOf text_of) : rows_(rows) {
    for (std::size_t i = 0; i < rows; ++i) width_ = std::max(width_, text_of(i).size());
    bytes_.resize(rows * width_);
    for (std::size_t i = 0; i < rows; ++i) text_of(i).copy(bytes_.data() + i * width_, width_);
  }

  [[nodiscard]] std::size_t size() const { return rows_; }
  [[nodiscard]] char* data() { return bytes_.data(); }

  /// Without the padding.
  [[nodiscard]] std::string_view operator[](std::size_t i) const {
    const std::string_view cell(bytes_.data() + i * width_, width_);
    const std::string_view text = cell.substr(0, cell.find('\0'));
    return space_padded_ ? text.substr(0, text.find_last_not_of(' ') + 1) : text;
  }

 private:
  std::size_t rows_ = 0;
  std::size_t width_ = 0;
  bool space_padded_ = false;
  std::vector<char> bytes_;
};

}  // namespace strapline::recordings::h5
