#include "movement_reader.hpp"

#include <algorithm>

namespace strapline::coaching {

std::string place_in(std::string_view file, const toml::source_region& region) {
  return std::string(file) + ":" +
         std::to_string(std::max<toml::source_index>(region.begin.line, 1));
}

std::string TableReader::place(std::string_view key) const {
  const toml::node* node = table_.get(key);
  return place_in(file_, node != nullptr ? node->source() : table_.source());
}

void TableReader::fault(std::string_view key, std::string what, std::string todo) {
  if (!fault_) fault_ = dsp::Failure{std::move(what), place(key), std::move(todo)};
}

const toml::node* TableReader::find(std::string_view key, std::string_view kind) {
  asked_.emplace_back(key);
  const toml::node* node = table_.get(key);
  if (node == nullptr) {
    const std::string in = title_.empty() ? "" : " in [" + title_ + "]";
    fault(key, "'" + std::string(key) + "' is missing" + in, "add it as " + std::string(kind));
  }
  return node;
}

std::string TableReader::text(std::string_view key) {
  const toml::node* node = find(key, "a text");
  if (node == nullptr) return {};
  const auto value = node->value_exact<std::string>();
  if (!value || value->empty())
    fault(key, "'" + std::string(key) + "' is not a text with something in it");
  return value.value_or("");
}

double TableReader::number(std::string_view key) {
  const toml::node* node = find(key, "a number");
  if (node == nullptr) return 0.0;
  if (!node->is_number()) fault(key, "'" + std::string(key) + "' is not a number");
  return node->value<double>().value_or(0.0);
}

std::vector<std::string> TableReader::texts(std::string_view key) {
  std::vector<std::string> result;
  const toml::node* node = find(key, "a list of texts");
  if (node == nullptr) return result;
  const toml::array* list = node->as_array();
  if (list == nullptr || !(list->empty() || list->is_homogeneous<std::string>())) {
    fault(key, "'" + std::string(key) + "' is not a list of texts");
    return result;
  }
  for (const toml::node& entry : *list) result.push_back(entry.value_or(std::string()));
  return result;
}

const toml::table* TableReader::table(std::string_view key) {
  const toml::node* node = find(key, "a table");
  if (node == nullptr) return nullptr;
  if (!node->is_table()) fault(key, "'" + std::string(key) + "' is not a table");
  return node->as_table();
}

void TableReader::refuse_unknown_keys() {
  for (const auto& [key, node] : table_) {
    if (std::find(asked_.begin(), asked_.end(), key.str()) != asked_.end()) continue;
    fault(key.str(), "'" + std::string(key.str()) + "' is not known here",
          "check its spelling, or take it out");
  }
}

}  // namespace strapline::coaching
