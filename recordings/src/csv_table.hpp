#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

namespace strapline::recordings {

/// Positions of the known columns in CsvRow::cells.
enum CsvColumn : std::size_t { kTime, kAx, kAy, kAz, kGx, kGy, kGz, kCsvColumns };

/// A number and how many decimals its text needs (0.0250 needs 3); NaN where the cell is missing.
struct CsvCell {
  double value = 0.0;
  int decimals = 0;
  [[nodiscard]] bool missing() const { return std::isnan(value); }
};

struct CsvRow {
  std::size_t line = 0;  ///< in the file, from 1
  std::array<CsvCell, kCsvColumns> cells;
};

struct CsvTable {
  bool has_time = false;
  std::vector<CsvRow> rows;
};

/// Raises as import_csv fails on what concerns the text alone.
[[nodiscard]] CsvTable read_csv(const std::filesystem::path& file);

}  // namespace strapline::recordings
