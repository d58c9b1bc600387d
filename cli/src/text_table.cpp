#include "text_table.hpp"

#include <algorithm>
#include <sstream>

namespace strapline::cli {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

std::string padded(const std::string& text, std::size_t width, TextTable::Align align) {
  const std::size_t length = character_count(text);
  const std::string space(width > length ? width - length : 0, ' ');
  return align == TextTable::Align::left ? text + space : space + text;
}

std::string trimmed(std::string line) {
  line.resize(line.find_last_not_of(' ') + 1);
  return line + "\n";
}

}  // namespace

std::size_t character_count(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

void TextTable::add_column(std::string head, Align align) {
  Column column{lines_of(head), align, 0};
  for (const std::string& line : column.head) {
    column.width = std::max(column.width, character_count(line));
  }
  columns_.push_back(std::move(column));
}

void TextTable::add_row(std::vector<std::string> cells) {
  cells.resize(columns_.size());
  for (std::size_t c = 0; c < cells.size(); ++c) {
    columns_[c].width = std::max(columns_[c].width, character_count(cells[c]));
  }
  rows_.push_back(std::move(cells));
}

std::string TextTable::block(const std::vector<std::size_t>& columns) const {
  std::size_t head_lines = 0;
  for (const std::size_t c : columns) head_lines = std::max(head_lines, columns_[c].head.size());
  const auto head_line = [&](std::size_t c, std::size_t line) {
    const auto& head = columns_[c].head;
    const std::size_t empty = head_lines - head.size();
    return line < empty ? std::string() : head[line - empty];
  };
  const auto line_of = [&](auto cell) {
    std::string line;
    for (const std::size_t c : columns) {
      line += (line.empty() ? "" : "  ") + padded(cell(c), columns_[c].width, columns_[c].align);
    }
    return trimmed(line);
  };
  std::string text;
  for (std::size_t i = 0; i < head_lines; ++i) {
    text += line_of([&](std::size_t c) { return head_line(c, i); });
  }
  for (const auto& row : rows_) text += line_of([&](std::size_t c) { return row[c]; });
  return text;
}

std::string TextTable::text(std::size_t width) const {
  if (columns_.empty()) return {};
  std::string text;
  std::vector<std::size_t> columns{0};
  std::size_t used = columns_[0].width;
  for (std::size_t c = 1; c < columns_.size(); ++c) {
    if (used + 2 + columns_[c].width > width && columns.size() > 1) {
      text += block(columns) + "\n";
      columns = {0};
      used = columns_[0].width;
    }
    columns.push_back(c);
    used += 2 + columns_[c].width;
  }
  return text + block(columns);
}

std::vector<std::string> wrapped(const std::string& text, std::size_t width) {
  std::vector<std::string> lines;
  std::istringstream words(text);
  for (std::string word; words >> word;) {
    const bool fits =
        !lines.empty() && character_count(lines.back()) + 1 + character_count(word) <= width;
    if (fits) {
      lines.back() += " " + word;
    } else {
      lines.push_back(word);
    }
  }
  return lines;
}

std::string paragraph(const std::string& first, const std::string& text, std::size_t width) {
  const std::size_t indent = character_count(first);
  std::string out;
  for (const std::string& line : wrapped(text, width > indent ? width - indent : 1)) {
    out += (out.empty() ? first : std::string(indent, ' ')) + line + "\n";
  }
  return out;
}

}  // namespace strapline::cli
