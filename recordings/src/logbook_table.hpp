#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "hdf5/error.hpp"
#include "hdf5/packed_texts.hpp"
#include "hdf5/rows.hpp"

namespace strapline::recordings {

/// The columns of one table. A table without rows still shows them to whoever opens the file.
struct Columns {
  std::vector<std::string> texts;
  std::vector<std::string> wholes;
  std::vector<std::pair<std::string, std::string>> reals;  ///< name, unit
};

/// One table in memory: columns of equal length, filled row by row. Every row must fill them all.
class Table {
 public:
  explicit Table(const Columns& columns);
  void text(const std::string& name, const std::string& value) { texts_.at(name).push_back(value); }
  void whole(const std::string& name, std::int64_t value) { wholes_.at(name).push_back(value); }
  /// NaN in the file where there is no value: missing is never zero.
  void real(const std::string& name, std::optional<double> value);

  [[nodiscard]] std::int64_t rows() const {
    return static_cast<std::int64_t>(texts_.at("set_id").size());
  }

  /// As a group of extendible columns.
  void write(hid_t root, const std::string& name) const;

 private:
  struct Real {
    std::string unit;
    std::vector<double> values;
  };
  std::map<std::string, std::vector<std::string>> texts_;
  std::map<std::string, std::vector<std::int64_t>> wholes_;
  std::map<std::string, Real> reals_;
};

/// Reads a table's columns, all of its rows or some; every column must have as many as set_id.
class TableReader {
 public:
  TableReader(hid_t root, const std::string& name);

  [[nodiscard]] std::size_t table_rows() const { return chosen_.table_rows; }
  /// From here on only these; before it, all.
  void choose(std::vector<h5::Rows> ranges) { chosen_.ranges = std::move(ranges); }

  [[nodiscard]] bool has(const std::string& name) const;
  [[nodiscard]] h5::PackedTexts texts(const std::string& name) const;
  /// Empty texts where an older file does not have the column.
  [[nodiscard]] h5::PackedTexts texts_if(const std::string& name) const;
  [[nodiscard]] std::vector<std::int64_t> wholes(const std::string& name) const;
  [[nodiscard]] std::vector<double> reals(const std::string& name, const std::string& unit) const;
  /// Of a column, for a failure: "/reps/part".
  [[nodiscard]] std::string path(const std::string& column) const;

 private:
  h5::Handle group_;
  h5::RowChoice chosen_;
};

}  // namespace strapline::recordings
