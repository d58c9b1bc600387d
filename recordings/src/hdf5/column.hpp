#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "hdf5/error.hpp"
#include "hdf5/packed_texts.hpp"
#include "hdf5/rows.hpp"

namespace strapline::recordings::h5 {

/// How a column is stored besides its values.
struct ColumnStyle {
  std::string unit;         ///< the `unit` attribute; "1" for a pure number, "" writes none
  bool extendible = false;  ///< rows can be added later
};

/// One-dimensional data set: chunked, shuffled, deflated, with Fletcher-32 checksums.
/// T: double, std::int32_t, std::int64_t, std::uint8_t.
template <class T>
void write_column(hid_t group, const std::string& name, std::span<const T> values,
                  const ColumnStyle& style);

/// Fixed-length UTF-8, as long as the longest entry.
void write_texts(hid_t group, const std::string& name, const std::vector<std::string>& values,
                 const ColumnStyle& style);

/// Row-major rows × columns of 32-bit integers.
void write_table(hid_t group, const std::string& name, std::span<const std::int32_t> values,
                 std::size_t columns, const ColumnStyle& style);

/// Raises where the data set is missing, of another kind or shape, damaged, or in another unit.
template <class T>
[[nodiscard]] std::vector<T> read_column(hid_t group, const std::string& name,
                                         const std::string& unit);
[[nodiscard]] std::vector<std::string> read_texts(hid_t group, const std::string& name);
[[nodiscard]] std::vector<std::int32_t> read_table(hid_t group, const std::string& name,
                                                   std::size_t columns);

/// The same of some rows only; raises, too, where the column has not as many as the table.
template <class T>
[[nodiscard]] std::vector<T> read_rows(hid_t group, const std::string& name,
                                       const std::string& unit, const RowChoice& rows);
[[nodiscard]] PackedTexts read_text_rows(hid_t group, const std::string& name,
                                         const RowChoice& rows);

/// How many rows a column has.
[[nodiscard]] std::size_t rows_of(hid_t group, const std::string& name);

[[nodiscard]] Handle open_data(hid_t group, const std::string& name);

}  // namespace strapline::recordings::h5
