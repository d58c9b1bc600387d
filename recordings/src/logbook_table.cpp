#include "logbook_table.hpp"

#include <limits>

#include "hdf5/column.hpp"
#include "hdf5/group.hpp"

namespace strapline::recordings {

Table::Table(const Columns& columns) {
  for (const std::string& name : columns.texts) texts_[name];
  for (const std::string& name : columns.wholes) wholes_[name];
  for (const auto& [name, unit] : columns.reals) reals_[name].unit = unit;
}

void Table::real(const std::string& name, std::optional<double> value) {
  reals_.at(name).values.push_back(value.value_or(std::numeric_limits<double>::quiet_NaN()));
}

void Table::write(hid_t root, const std::string& name) const {
  const h5::Handle group = h5::create_group(root, name);
  for (const auto& [column, values] : texts_) {
    h5::write_texts(group.get(), column, values, {"", true});
  }
  for (const auto& [column, values] : wholes_) {
    h5::write_column<std::int64_t>(group.get(), column, values, {"1", true});
  }
  for (const auto& [column, real] : reals_) {
    h5::write_column<double>(group.get(), column, real.values, {real.unit, true});
  }
}

TableReader::TableReader(hid_t root, const std::string& name)
    : group_(h5::open_group(root, name)),
      chosen_(h5::RowChoice::all(h5::rows_of(group_.get(), "set_id"))) {}

bool TableReader::has(const std::string& name) const { return h5::has_child(group_.get(), name); }

h5::PackedTexts TableReader::texts(const std::string& name) const {
  return h5::read_text_rows(group_.get(), name, chosen_);
}

h5::PackedTexts TableReader::texts_if(const std::string& name) const {
  return has(name) ? texts(name) : h5::PackedTexts(chosen_.size(), 0, false);
}

std::vector<std::int64_t> TableReader::wholes(const std::string& name) const {
  return h5::read_rows<std::int64_t>(group_.get(), name, {}, chosen_);
}

std::vector<double> TableReader::reals(const std::string& name, const std::string& unit) const {
  return h5::read_rows<double>(group_.get(), name, unit, chosen_);
}

std::string TableReader::path(const std::string& column) const {
  return h5::path_of(group_.get(), column);
}

}  // namespace strapline::recordings
