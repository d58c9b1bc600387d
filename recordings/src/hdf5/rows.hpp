#pragma once

#include <cstddef>
#include <vector>

namespace strapline::recordings::h5 {

/// Neighbouring rows of a column.
struct Rows {
  std::size_t first = 0;
  std::size_t count = 0;
};

/// Some rows of a table, in rising order without overlap.
struct RowChoice {
  std::size_t table_rows = 0;  ///< of every column; others are refused
  std::vector<Rows> ranges;

  [[nodiscard]] static RowChoice all(std::size_t rows) { return {rows, {{0, rows}}}; }
  [[nodiscard]] std::size_t size() const {
    std::size_t rows = 0;
    for (const Rows& range : ranges) rows += range.count;
    return rows;
  }
};

}  // namespace strapline::recordings::h5
