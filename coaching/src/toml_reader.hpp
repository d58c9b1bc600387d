#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <toml++/toml.h>

#include "strapline/dsp/failure.hpp"

namespace strapline::coaching {

/// Reads typed values from one TOML table and keeps the first fault with its file and line, so
/// that a definition is read straight through and asked for its fault once at the end.
class TableReader {
 public:
  TableReader(const toml::table& table, std::string_view file, std::string title)
      : table_(table), file_(file), title_(std::move(title)) {}

  [[nodiscard]] std::string text(std::string_view key);
  [[nodiscard]] double number(std::string_view key);
  /// A list of strings; may be empty.
  [[nodiscard]] std::vector<std::string> texts(std::string_view key);
  /// A table inside this one; null (and a fault) where it is missing.
  [[nodiscard]] const toml::table* table(std::string_view key);
  /// A list of tables inside this one; empty (and a fault) where it is missing.
  [[nodiscard]] std::vector<const toml::table*> tables(std::string_view key);

  // The same for what may be left out: no fault where the key is missing.
  [[nodiscard]] std::string maybe_text(std::string_view key);
  [[nodiscard]] std::optional<double> maybe_number(std::string_view key);
  [[nodiscard]] std::vector<std::string> maybe_texts(std::string_view key);
  [[nodiscard]] const toml::table* maybe_table(std::string_view key);
  [[nodiscard]] std::vector<const toml::table*> maybe_tables(std::string_view key);

  [[nodiscard]] bool has(std::string_view key) const { return table_.contains(key); }
  /// Every key, in the order of the library.
  [[nodiscard]] std::vector<std::string> keys() const;
  /// The title of a table inside this one: "limits.load_kg".
  [[nodiscard]] std::string title_of(std::string_view key) const;

  /// Records a fault at a key (or at the table, where the key is missing), unless there is one.
  void fault(std::string_view key, std::string what, std::string todo = {});
  /// Records a fault for the first key that nobody asked for.
  void refuse_unknown_keys();
  /// Reads the table inside this one, refuses its unknown keys, and takes over its fault.
  void inside(const toml::table& table, std::string title,
              const std::function<void(TableReader&)>& read);

  [[nodiscard]] const std::optional<dsp::Failure>& first_fault() const { return fault_; }

 private:
  const toml::node* find(std::string_view key, std::string_view kind);
  [[nodiscard]] std::string place(std::string_view key) const;

  const toml::table& table_;
  std::string file_;
  std::string title_;  ///< "" for the root, else the table's name
  std::vector<std::string> asked_;
  std::optional<dsp::Failure> fault_;
};

/// Parses the text and lets `read` take its root apart; keys that it does not ask for are refused.
/// Fails with "FILE:LINE: reason", `file` being what the text is called.
[[nodiscard]] dsp::Result<void> read_toml(std::string_view text, std::string_view file,
                                          const std::function<void(TableReader&)>& read);

/// "FILE:LINE".
[[nodiscard]] std::string place_in(std::string_view file, const toml::source_region& region);

}  // namespace strapline::coaching
