#include "toml_reader.hpp"

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

std::vector<const toml::table*> TableReader::tables(std::string_view key) {
  std::vector<const toml::table*> result;
  const toml::node* node = find(key, "a list of tables");
  if (node == nullptr) return result;
  const toml::array* list = node->as_array();
  if (list == nullptr || !(list->empty() || list->is_homogeneous<toml::table>())) {
    fault(key, "'" + std::string(key) + "' is not a list of tables");
    return result;
  }
  for (const toml::node& entry : *list) result.push_back(entry.as_table());
  return result;
}

std::string TableReader::maybe_text(std::string_view key) {
  if (has(key) && table_.get(key)->value_exact<std::string>() == "") {
    asked_.emplace_back(key);  // said to be empty
    return {};
  }
  return has(key) ? text(key) : std::string();
}

std::optional<double> TableReader::maybe_number(std::string_view key) {
  return has(key) ? std::optional(number(key)) : std::nullopt;
}

std::vector<std::string> TableReader::maybe_texts(std::string_view key) {
  return has(key) ? texts(key) : std::vector<std::string>();
}

const toml::table* TableReader::maybe_table(std::string_view key) {
  return has(key) ? table(key) : nullptr;
}

std::vector<const toml::table*> TableReader::maybe_tables(std::string_view key) {
  return has(key) ? tables(key) : std::vector<const toml::table*>();
}

std::vector<std::string> TableReader::keys() const {
  std::vector<std::string> names;
  for (const auto& [key, node] : table_) names.emplace_back(key.str());
  return names;
}

std::string TableReader::title_of(std::string_view key) const {
  return title_.empty() ? std::string(key) : title_ + "." + std::string(key);
}

void TableReader::inside(const toml::table& table, std::string title,
                         const std::function<void(TableReader&)>& read) {
  TableReader inner(table, file_, std::move(title));
  read(inner);
  inner.refuse_unknown_keys();
  if (!fault_) fault_ = inner.first_fault();
}

void TableReader::refuse_unknown_keys() {
  for (const auto& [key, node] : table_) {
    if (std::find(asked_.begin(), asked_.end(), key.str()) != asked_.end()) continue;
    fault(key.str(), "'" + std::string(key.str()) + "' is not known here",
          "check its spelling, or take it out");
  }
}

dsp::Result<void> read_toml(std::string_view text, std::string_view file,
                            const std::function<void(TableReader&)>& read) {
  try {
    const toml::table table = toml::parse(text, file);
    TableReader root(table, file, "");
    read(root);
    root.refuse_unknown_keys();
    if (root.first_fault()) return tl::make_unexpected(*root.first_fault());
  } catch (const toml::parse_error& error) {  // the library's exceptions end at the room's edge
    return dsp::fail(std::string(error.description()), place_in(file, error.source()),
                     "correct the TOML there");
  }
  return {};
}

}  // namespace strapline::coaching
