#include "strapline/coaching/phrases.hpp"

#include <algorithm>
#include <cassert>

#include "embedded_phrases.hpp"
#include "toml_reader.hpp"

namespace strapline::coaching {
namespace {

using Texts = std::map<std::string, std::string>;

/// Calls `text` for what stands outside braces and `name` for what stands in them. A brace without
/// its partner is text.
template <class OnText, class OnName>
void walk(std::string_view phrase, OnText on_text, OnName on_name) {
  while (!phrase.empty()) {
    const std::size_t open = phrase.find('{');
    const std::size_t close = open == phrase.npos ? phrase.npos : phrase.find('}', open);
    if (close == phrase.npos) return on_text(phrase);
    on_text(phrase.substr(0, open));
    on_name(std::string(phrase.substr(open + 1, close - open - 1)));
    phrase.remove_prefix(close + 1);
  }
}

/// Faults at a name that the known sentence does not have: nobody would fill it in.
void check_names(TableReader& reader, const std::string& key, const std::string& text,
                 const std::string& known) {
  const auto allowed = names_in(known);
  for (const std::string& name : names_in(text)) {
    if (std::find(allowed.begin(), allowed.end(), name) != allowed.end()) continue;
    std::string list;
    for (const std::string& one : allowed) list += (list.empty() ? "{" : ", {") + one + "}";
    reader.fault(key, "nothing fills in {" + name + "}",
                 list.empty() ? "this sentence takes no names" : "use of " + list);
  }
}

void read_table(TableReader& reader, const std::string& table, const Texts* known, Texts& texts) {
  for (const std::string& key : reader.keys()) {
    const std::string full = table + "." + key;
    if (known != nullptr && !known->contains(full)) continue;  // refused as an unknown key
    const std::string text = reader.text(key);
    if (known != nullptr) check_names(reader, key, text, known->at(full));
    texts[full] = text;
  }
}

bool is_table(const Texts& known, const std::string& name) {
  return std::any_of(known.begin(), known.end(),
                     [&](const auto& entry) { return entry.first.starts_with(name + "."); });
}

/// `known`: null for the built-in file itself.
dsp::Result<Texts> read_phrases(std::string_view toml, std::string_view where, const Texts* known) {
  Texts texts;
  if (known != nullptr) texts = *known;
  const auto read = read_toml(toml, where, [&](TableReader& root) {
    for (const std::string& name : root.keys()) {
      if (known != nullptr && !is_table(*known, name)) continue;
      const toml::table* table = root.table(name);
      if (table == nullptr) continue;
      root.inside(*table, name, [&](auto& inner) { read_table(inner, name, known, texts); });
    }
  });
  if (!read) return tl::make_unexpected(read.error());
  return texts;
}

}  // namespace

std::string Phrases::say(const std::string& key,
                         const std::map<std::string, std::string>& names) const {
  const auto phrase = texts_.find(key);
  assert(phrase != texts_.end());
  std::string said;
  if (phrase == texts_.end()) return said;
  walk(
      phrase->second, [&](std::string_view text) { said += text; },
      [&](const std::string& name) {
        const auto value = names.find(name);
        assert(value != names.end());
        if (value != names.end()) said += value->second;
      });
  return said;
}

std::string_view english_phrases_text() { return phrases::text("english.toml"); }

const Phrases& english_phrases() {
  static const Phrases english = [] {
    auto texts = read_phrases(english_phrases_text(), "english.toml", nullptr);
    assert(texts);  // built in, and tested
    return Phrases(texts ? std::move(*texts) : Texts{});
  }();
  return english;
}

dsp::Result<Phrases> parse_phrases(std::string_view toml, std::string_view where) {
  auto texts = read_phrases(toml, where, &english_phrases().texts());
  if (!texts) return tl::make_unexpected(texts.error());
  return Phrases(std::move(*texts));
}

std::vector<std::string> names_in(std::string_view text) {
  std::vector<std::string> names;
  walk(
      text, [](std::string_view) {}, [&](const std::string& name) { names.push_back(name); });
  return names;
}

}  // namespace strapline::coaching
