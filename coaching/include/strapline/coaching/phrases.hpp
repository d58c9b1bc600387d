#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/dsp/failure.hpp"

namespace strapline::coaching {

/// The sentences of a letter, by "table.key", each with {names} to be filled in.
class Phrases {
 public:
  explicit Phrases(std::map<std::string, std::string> texts) : texts_(std::move(texts)) {}

  /// The sentence with its names replaced; asking for one that does not exist is a programming
  /// error.
  [[nodiscard]] std::string say(const std::string& key,
                                const std::map<std::string, std::string>& names = {}) const;
  [[nodiscard]] bool has(const std::string& key) const { return texts_.contains(key); }
  [[nodiscard]] const std::map<std::string, std::string>& texts() const { return texts_; }

 private:
  std::map<std::string, std::string> texts_;
};

/// The built-in ones, in English.
[[nodiscard]] const Phrases& english_phrases();

/// The text of their file, to be copied and translated.
[[nodiscard]] std::string_view english_phrases_text();

/// Phrases from the text of a file. What it leaves out stays in English. Fails ("FILE:LINE:
/// reason") on a key that is not known, or on a {name} that the English sentence does not have.
[[nodiscard]] dsp::Result<Phrases> parse_phrases(std::string_view toml, std::string_view where);

/// The names in braces, in order.
[[nodiscard]] std::vector<std::string> names_in(std::string_view text);

}  // namespace strapline::coaching
