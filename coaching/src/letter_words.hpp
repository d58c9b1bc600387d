#pragma once

#include <map>
#include <string>

#include "strapline/coaching/letter.hpp"

namespace strapline::coaching {

/// Adds sentences of one section to a letter, said with the phrases.
class LetterWriter {
 public:
  LetterWriter(Letter& letter, const Phrases& phrases) : letter_(letter), phrases_(phrases) {}

  void section(LetterSection section) { section_ = section; }
  void add(const std::string& key, const std::map<std::string, std::string>& names,
           std::vector<std::string> evidence);
  /// A sentence that is no phrase: a movement's own caution.
  void add_text(std::string text, std::vector<std::string> evidence);

  [[nodiscard]] std::string say(const std::string& key,
                                const std::map<std::string, std::string>& names = {}) const {
    return phrases_.say(key, names);
  }
  [[nodiscard]] bool has(const std::string& key) const { return phrases_.has(key); }
  /// "depth, left": a measure's full name in plain words.
  [[nodiscard]] std::string measure(const std::string& full_name) const;
  /// What its numbers mean; "" where that needs no saying.
  [[nodiscard]] std::string means(const std::string& full_name) const;
  /// "at least -5.0°".
  [[nodiscard]] std::string edges(const Band& band, dsp::Unit unit) const;

 private:
  Letter& letter_;
  const Phrases& phrases_;
  LetterSection section_ = LetterSection::asked;
};

// The sections of a letter, each from what it is about.
void write_asked(const LetterInput& input, LetterWriter& writer);
void write_seen(const LetterInput& input, LetterWriter& writer);
void write_changed(const LetterInput& input, LetterWriter& writer);
void write_next(const LetterInput& input, LetterWriter& writer);
void write_cues(const LetterInput& input, LetterWriter& writer);
void write_cautions(const LetterInput& input, LetterWriter& writer);

/// The judgement that the letter dwells on: the latest of the session that is not met, else the
/// latest; null where none was judged.
[[nodiscard]] const LetterSet* told_set(const LetterInput& input);

}  // namespace strapline::coaching
