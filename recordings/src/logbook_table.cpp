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
    : group_(h5::open_group(root, name)), ids_(h5::read_texts(group_.get(), "set_id")) {}

template <class T>
std::vector<T> TableReader::checked(std::vector<T> values, const std::string& name) const {
  if (values.size() != rows()) {
    h5::raise("does not have as many rows as set_id", h5::path_of(group_.get(), name));
  }
  return values;
}

std::vector<std::string> TableReader::texts(const std::string& name) const {
  return checked(h5::read_texts(group_.get(), name), name);
}

std::vector<std::string> TableReader::texts_if(const std::string& name) const {
  return h5::has_child(group_.get(), name) ? texts(name) : std::vector<std::string>(rows());
}

std::vector<std::int64_t> TableReader::wholes(const std::string& name) const {
  return checked(h5::read_column<std::int64_t>(group_.get(), name, {}), name);
}

std::vector<double> TableReader::reals(const std::string& name, const std::string& unit) const {
  return checked(h5::read_column<double>(group_.get(), name, unit), name);
}

}  // namespace strapline::recordings
