#pragma once

#include <string>
#include <vector>

namespace strapline::cli {

/// A plain-text table: columns as wide as their content, two spaces between them, UTF-8.
class TextTable {
 public:
  enum class Align { left, right };

  /// `head` may hold line breaks; shorter heads stand at the bottom.
  void add_column(std::string head, Align align);
  /// Missing cells at the end are empty.
  void add_row(std::vector<std::string> cells);
  [[nodiscard]] bool empty() const { return rows_.empty(); }

  /// All columns; those that do not fit in `width` characters go below in a block of their own that
  /// repeats the first column.
  [[nodiscard]] std::string text(std::size_t width) const;

 private:
  struct Column {
    std::vector<std::string> head;  ///< lines
    Align align = Align::left;
    std::size_t width = 0;
  };
  [[nodiscard]] std::string block(const std::vector<std::size_t>& columns) const;

  std::vector<Column> columns_;
  std::vector<std::vector<std::string>> rows_;
};

/// Words on lines of at most `width` characters; a longer word stands alone.
[[nodiscard]] std::vector<std::string> wrapped(const std::string& text, std::size_t width);

/// `first` before the first line, as many spaces before the others.
[[nodiscard]] std::string paragraph(const std::string& first, const std::string& text,
                                    std::size_t width);

/// Characters as a reader counts them: UTF-8 code points.
[[nodiscard]] std::size_t character_count(const std::string& text);

/// Width of everything that the commands print for people.
inline constexpr std::size_t kTextWidth = 100;

}  // namespace strapline::cli
