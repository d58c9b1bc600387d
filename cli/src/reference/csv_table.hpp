#pragma once

#include <filesystem>
#include <istream>
#include <string>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/inertial_series.hpp"

namespace strapline::cli::reference {

/// A table of numbers with a header row; "nan" is a missing number.
struct CsvTable {
  std::string name;                     ///< for messages: the file
  std::vector<std::string> columns;     ///< names
  std::vector<Eigen::VectorXd> values;  ///< by column, all of one length

  [[nodiscard]] Eigen::Index rows() const { return values.empty() ? 0 : values.front().size(); }
  [[nodiscard]] dsp::Result<Eigen::VectorXd> column(const std::string& wanted) const;
};

/// Fails at a row with another number of cells than the header or with a cell that is no number.
[[nodiscard]] dsp::Result<CsvTable> parse_table(std::istream& in, const std::string& name);
[[nodiscard]] dsp::Result<CsvTable> read_table(const std::filesystem::path& file);

/// One sensor's file, read as `import` reads it.
[[nodiscard]] dsp::Result<dsp::StrapSeries> read_readings(const std::filesystem::path& file);

/// The cells of a line, as text.
[[nodiscard]] std::vector<std::string> cells_of(std::string line);

/// Columns `prefix`qw, …qx, …qy, …qz: sensor (or segment) to an earth with Z up. A missing one, or
/// one of length zero, has NaN components.
[[nodiscard]] dsp::Result<std::vector<Eigen::Quaterniond>> turns_of(const CsvTable& table,
                                                                    const std::string& prefix);

}  // namespace strapline::cli::reference
