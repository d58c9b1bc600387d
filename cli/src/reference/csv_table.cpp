#include "csv_table.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <sstream>

#include <fmt/format.h>

#include "strapline/recordings/import_csv.hpp"

namespace strapline::cli::reference {
namespace {

bool number(const std::string& cell, double& value) {
  char* end = nullptr;
  value = std::strtod(cell.c_str(), &end);
  return end != cell.c_str() && *end == '\0';
}

dsp::Result<Eigen::Matrix3Xd> three_columns(const CsvTable& table,
                                            const std::array<const char*, 3>& names) {
  Eigen::Matrix3Xd out(3, table.rows());
  for (Eigen::Index k = 0; k < 3; ++k) {
    auto column = table.column(names[static_cast<std::size_t>(k)]);
    if (!column) return tl::make_unexpected(column.error());
    out.row(k) = column->transpose();
  }
  return out;
}

}  // namespace

std::vector<std::string> cells_of(std::string line) {
  if (!line.empty() && line.back() == '\r') line.pop_back();
  std::vector<std::string> cells;
  std::stringstream stream(line);
  for (std::string cell; std::getline(stream, cell, ',');) cells.push_back(cell);
  return cells;
}

dsp::Result<Eigen::VectorXd> CsvTable::column(const std::string& wanted) const {
  const auto at = std::find(columns.begin(), columns.end(), wanted);
  if (at == columns.end()) return dsp::fail("no column " + wanted, name);
  return values[static_cast<std::size_t>(at - columns.begin())];
}

dsp::Result<CsvTable> parse_table(std::istream& in, const std::string& name) {
  CsvTable table{name, {}, {}};
  std::string line;
  if (!std::getline(in, line)) return dsp::fail("is empty", name);
  table.columns = cells_of(line);
  std::vector<std::vector<double>> columns(table.columns.size());
  for (int row = 2; std::getline(in, line); ++row) {
    const std::vector<std::string> cells = cells_of(line);
    if (cells.empty()) continue;
    if (cells.size() != columns.size()) {
      return dsp::fail(
          fmt::format("{} cells where the header has {}", cells.size(), columns.size()),
          fmt::format("{}:{}", name, row));
    }
    for (std::size_t k = 0; k < cells.size(); ++k) {
      double value = 0.0;
      if (!number(cells[k], value)) {
        return dsp::fail(fmt::format("\"{}\" is no number", cells[k]),
                         fmt::format("{}:{}", name, row));
      }
      columns[k].push_back(value);
    }
  }
  for (const auto& column : columns) {
    table.values.emplace_back(
        Eigen::Map<const Eigen::VectorXd>(column.data(), static_cast<Eigen::Index>(column.size())));
  }
  return table;
}

dsp::Result<CsvTable> read_table(const std::filesystem::path& file) {
  std::ifstream in(file);
  if (!in) return dsp::fail("cannot be read", file.string());
  return parse_table(in, file.string());
}

dsp::Result<dsp::StrapSeries> read_readings(const std::filesystem::path& file) {
  const auto imported = recordings::import_csv(file, {dsp::Segment::other, dsp::Side::middle}, {});
  if (!imported) return tl::make_unexpected(imported.error());
  return recordings::to_series(imported->strap);
}

dsp::Result<std::vector<Eigen::Quaterniond>> turns_of(const CsvTable& table,
                                                      const std::string& prefix) {
  const auto w = table.column(prefix + "qw");
  if (!w) return tl::make_unexpected(w.error());
  const auto v = three_columns(
      table, {(prefix + "qx").c_str(), (prefix + "qy").c_str(), (prefix + "qz").c_str()});
  if (!v) return tl::make_unexpected(v.error());
  constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();
  std::vector<Eigen::Quaterniond> turns;
  for (Eigen::Index i = 0; i < table.rows(); ++i) {
    Eigen::Quaterniond q((*w)[i], (*v)(0, i), (*v)(1, i), (*v)(2, i));
    const double length = q.norm();
    if (length > 0.5) {
      q.normalize();
    } else {
      q.coeffs().setConstant(kMissing);
    }
    turns.push_back(q);
  }
  return turns;
}

}  // namespace strapline::cli::reference
