#include "strapline/coaching/letter.hpp"

#include <cassert>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"

#include "letter_words.hpp"

namespace strapline::coaching {
namespace {

std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text;
}

}  // namespace

void LetterWriter::add(const std::string& key, const std::map<std::string, std::string>& names,
                       std::vector<std::string> evidence) {
  add_text(phrases_.say(key, names), std::move(evidence));
}

void LetterWriter::add_text(std::string text, std::vector<std::string> evidence) {
  assert(!evidence.empty());
  letter_.sentences.push_back({section_, capital(std::move(text)), std::move(evidence)});
}

std::string LetterWriter::measure(const std::string& full_name) const {
  const auto name = parse_measure_name(full_name);
  const std::string key = name ? "measures." + name->base : "";
  // The statistic ("at the turn") is for the coach; a client reads what was measured.
  std::string plain = phrases_.has(key) ? phrases_.say(key) : measure_title(full_name);
  if (!name || name->side == dsp::Side::middle) return plain;
  const bool left = name->side == dsp::Side::left;
  return phrases_.say(left ? "measures.left" : "measures.right", {{"measure", plain}});
}

std::string LetterWriter::means(const std::string& full_name) const {
  const auto name = parse_measure_name(full_name);
  const std::string key = name ? "means." + name->base : "";
  return phrases_.has(key) ? phrases_.say(key) : std::string();
}

std::string LetterWriter::edges(const Band& band, dsp::Unit unit) const {
  const auto text = [&](double si) { return format_value(si, unit); };
  if (!band.high) return phrases_.say("asked.at_least", {{"low", text(*band.low)}});
  if (!band.low) return phrases_.say("asked.at_most", {{"high", text(*band.high)}});
  return phrases_.say("asked.between", {{"low", text(*band.low)}, {"high", text(*band.high)}});
}

const LetterSet* told_set(const LetterInput& input) {
  const LetterSet* told = nullptr;
  for (const LetterSet& set : input.session) {
    if (!set.judgement) continue;
    const bool clear = set.judgement->verdict == SetVerdict::not_met;
    const bool told_is_clear = told != nullptr && told->judgement->verdict == SetVerdict::not_met;
    if (clear || !told_is_clear) told = &set;
  }
  return told;
}

Letter compose_letter(const LetterInput& input, const Phrases& phrases) {
  Letter letter;
  letter.title =
      phrases.say("letter.title", {{"client", input.client}, {"date", date_from_days(input.day)}});
  LetterWriter writer(letter, phrases);
  writer.section(LetterSection::asked);
  write_asked(input, writer);
  writer.section(LetterSection::seen);
  write_seen(input, writer);
  writer.section(LetterSection::changed);
  write_changed(input, writer);
  writer.section(LetterSection::next);
  write_next(input, writer);
  writer.section(LetterSection::cues);
  write_cues(input, writer);
  writer.section(LetterSection::cautions);
  write_cautions(input, writer);
  return letter;
}

}  // namespace strapline::coaching
