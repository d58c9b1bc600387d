#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "strapline/recordings/logbook.hpp"

#include "logbook_table.hpp"

namespace strapline::recordings {

/// A long table of a logbook, cut down to the rows of some sets.
class SetRows {
 public:
  /// Rows of one set, as they lie in the columns that `table()` reads now.
  struct Run {
    std::size_t set = 0;  ///< index into the logbook's sets
    std::size_t first = 0;
    std::size_t count = 0;
  };

  /// Finds the rows by `first_column` of /sets, or in a file without it by the table's own set_id.
  /// Raises where the tables do not agree with each other.
  /// @param sets /sets. @param wanted one flag per set.
  SetRows(hid_t root, const std::string& name, const TableReader& sets,
          const std::string& first_column, const std::vector<LoggedSet>& logged,
          const std::vector<bool>& wanted);

  [[nodiscard]] const TableReader& table() const { return table_; }
  [[nodiscard]] const std::vector<Run>& runs() const { return runs_; }

 private:
  [[nodiscard]] std::vector<Run> runs_from(const std::vector<std::int64_t>& first,
                                           const std::string& where) const;
  [[nodiscard]] std::vector<Run> runs_by_id(const std::vector<LoggedSet>& logged) const;
  void choose(std::vector<Run> all, const std::vector<bool>& wanted);
  void check_ids(const std::vector<LoggedSet>& logged) const;

  TableReader table_;
  std::vector<Run> runs_;
};

}  // namespace strapline::recordings
