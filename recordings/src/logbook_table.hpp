#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "hdf5/error.hpp"

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

/// Reads a table's columns, each checked to have as many rows as its set_id.
class TableReader {
 public:
  TableReader(hid_t root, const std::string& name);

  [[nodiscard]] std::size_t rows() const { return ids_.size(); }
  [[nodiscard]] const std::vector<std::string>& ids() const { return ids_; }
  [[nodiscard]] std::vector<std::string> texts(const std::string& name) const;
  /// Empty texts where an older file does not have the column.
  [[nodiscard]] std::vector<std::string> texts_if(const std::string& name) const;
  [[nodiscard]] std::vector<std::int64_t> wholes(const std::string& name) const;
  [[nodiscard]] std::vector<double> reals(const std::string& name, const std::string& unit) const;

 private:
  template <class T>
  std::vector<T> checked(std::vector<T> values, const std::string& name) const;

  h5::Handle group_;
  std::vector<std::string> ids_;
};

}  // namespace strapline::recordings
