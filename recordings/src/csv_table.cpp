#include "csv_table.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <limits>
#include <optional>
#include <string_view>

#include <fmt/format.h>

#include "atomic_file.hpp"

namespace strapline::recordings {
namespace {

constexpr std::array<std::string_view, kCsvColumns> kNames{"t", "ax", "ay", "az", "gx", "gy", "gz"};
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r\"";
  const auto from = text.find_first_not_of(kBlank);
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(kBlank) - from + 1);
}

std::string lower(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return result;
}

void split(std::string_view line, char separator, std::vector<std::string_view>& cells) {
  cells.clear();
  for (std::size_t from = 0;;) {
    const std::size_t to = line.find(separator, from);
    cells.push_back(trimmed(line.substr(from, to - from)));
    if (to == std::string_view::npos) return;
    from = to + 1;
  }
}

struct Header {
  char separator = ',';
  std::size_t cells = 0;
  std::array<std::optional<std::size_t>, kCsvColumns> at;  ///< cell of each known column
};

Header read_header(std::string_view line, const std::string& where) {
  Header header;
  header.separator = line.find(';') != std::string_view::npos ? ';' : ',';
  std::vector<std::string_view> cells;
  split(line, header.separator, cells);
  header.cells = cells.size();
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const auto* known = std::find(kNames.begin(), kNames.end(), lower(cells[i]));
    if (known == kNames.end()) continue;
    auto& place = header.at[static_cast<std::size_t>(known - kNames.begin())];
    if (place) h5::raise(fmt::format("two columns are called {}", *known), where);
    place = i;
  }
  for (std::size_t column = kAx; column < kCsvColumns; ++column) {
    if (!header.at[column]) {
      h5::raise(fmt::format("there is no column {}", kNames[column]), where,
                "the first line must name t,ax,ay,az,gx,gy,gz (t may be left out with a rate)");
    }
  }
  return header;
}

// How many digits after the decimal point the number needs, its trailing zeros not counted.
int decimals_of(std::string_view number) {
  const auto exponent_at = number.find_first_of("eE");
  int exponent = 0;
  if (exponent_at != std::string_view::npos) {
    std::string_view digits = number.substr(exponent_at + 1);
    if (digits.starts_with('+')) digits.remove_prefix(1);
    std::from_chars(digits.data(), digits.data() + digits.size(), exponent);
  }
  const std::string_view mantissa = number.substr(0, exponent_at);
  const auto point = mantissa.find('.');
  if (point == std::string_view::npos) return std::max(0, -exponent);
  const auto last = mantissa.find_last_not_of('0');
  return std::max(0, static_cast<int>(last - point) - exponent);
}

std::optional<CsvCell> parse(std::string_view text, bool decimal_comma) {
  if (text.empty() || lower(text) == "nan") {
    return CsvCell{std::numeric_limits<double>::quiet_NaN(), 0};
  }
  std::string plain(text.starts_with('+') ? text.substr(1) : text);
  if (decimal_comma) std::replace(plain.begin(), plain.end(), ',', '.');
  CsvCell cell;
  const auto [end, error] = std::from_chars(plain.data(), plain.data() + plain.size(), cell.value);
  const bool whole = error == std::errc() && end == plain.data() + plain.size();
  if (!whole || !std::isfinite(cell.value)) return std::nullopt;
  cell.decimals = decimals_of(plain);
  return cell;
}

class Reader {
 public:
  Reader(std::string_view text, std::string file) : rest_(text), file_(std::move(file)) {
    if (rest_.starts_with(kByteOrderMark)) rest_.remove_prefix(kByteOrderMark.size());
  }

  CsvTable read() {
    const auto first = next_line();
    if (!first || trimmed(*first).empty()) h5::raise("there is no header line", where());
    header_ = read_header(*first, where());
    CsvTable table;
    table.has_time = header_.at[kTime].has_value();
    while (const auto line = next_line()) add_row(*line, table);
    return table;
  }

 private:
  std::optional<std::string_view> next_line() {
    if (rest_.empty()) return std::nullopt;
    const std::size_t end = rest_.find('\n');
    const std::string_view line = rest_.substr(0, end);
    rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
    ++line_;
    return line;
  }

  void add_row(std::string_view line, CsvTable& table) {
    if (trimmed(line).empty()) {
      if (blank_line_ == 0) blank_line_ = line_;
      return;
    }
    if (blank_line_ != 0) {
      h5::raise("a blank line between rows", fmt::format("{}:{}", file_, blank_line_),
                "remove it, or leave the cells of a missing sample empty");
    }
    split(line, header_.separator, cells_);
    if (cells_.size() != header_.cells) {
      h5::raise(fmt::format("has {} cells where the header has {}", cells_.size(), header_.cells),
                where(), "is the file cut short?");
    }
    CsvRow row;
    row.line = line_;
    for (std::size_t column = 0; column < kCsvColumns; ++column) {
      if (header_.at[column]) row.cells[column] = cell(column);
    }
    table.rows.push_back(row);
  }

  CsvCell cell(std::size_t column) const {
    const std::string_view text = cells_[*header_.at[column]];
    const auto parsed = parse(text, header_.separator == ';');
    if (!parsed) {
      h5::raise(fmt::format("\"{}\" is not a number", text),
                fmt::format("{}:{}", where(), kNames[column]),
                "leave the cell empty where the value is missing");
    }
    return *parsed;
  }

  [[nodiscard]] std::string where() const { return fmt::format("{}:{}", file_, line_); }

  std::string_view rest_;
  std::string file_;
  Header header_;
  std::size_t line_ = 0;
  std::size_t blank_line_ = 0;
  std::vector<std::string_view> cells_;
};

h5::Bytes bytes_of(const std::filesystem::path& file) {
  try {
    return read_whole(file);
  } catch (const h5::Error& error) {
    throw h5::Error(h5::in_file(error.failure(), file));
  }
}

}  // namespace

CsvTable read_csv(const std::filesystem::path& file) {
  const h5::Bytes bytes = bytes_of(file);
  const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
  return Reader(text, file.string()).read();
}

}  // namespace strapline::recordings
