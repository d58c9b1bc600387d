#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/cautions.hpp"
#include "strapline/coaching/comparison.hpp"
#include "strapline/coaching/judgement.hpp"
#include "strapline/coaching/next_step.hpp"
#include "strapline/coaching/phrases.hpp"

namespace strapline::coaching {

enum class LetterSection { asked, seen, changed, next, cues, cautions };

/// One sentence, and the findings that it rests on: never empty.
struct LetterSentence {
  LetterSection section = LetterSection::asked;
  std::string text;
  std::vector<std::string> evidence;
};

/// Feedback in plain words, to be edited by the coach before it is sent.
struct Letter {
  std::string title;
  std::vector<LetterSentence> sentences;  ///< in the order of the sections
};

/// One set of the session that the letter is about.
struct LetterSet {
  std::string name;  ///< file name
  std::optional<double> load_kg, effort_rpe, reps_in_reserve, pain;
  std::string pain_place;
  int full_reps = 0, part_reps = 0;
  std::optional<AimJudgement> judgement;
  std::vector<Caution> cautions;
};

/// What the letter is made from; it finds nothing of its own.
struct LetterInput {
  std::string client;
  double day = 0.0;  ///< of the session, days since 1970-01-01
  std::optional<Ladder> ladder;
  std::optional<NextStep> next;  ///< with `ladder`
  std::optional<Aim> aim;
  std::vector<LetterSet> session;  ///< in time order
  /// Pain above the limit that still counts, in any movement (standing_pain): it stops every
  /// letter.
  std::vector<LoggedPain> pain;
  std::optional<Comparison> comparison;
  std::vector<std::string> movement_cautions;  ///< as the movement's file has them
  std::string movement;                        ///< its name, as evidence for them
};

/// Writes the letter. What changed is told for the measures of the aim and for the range alone.
[[nodiscard]] Letter compose_letter(const LetterInput& input, const Phrases& phrases);

enum class LetterFormat { text, markdown, html };

/// The letter as a document; with `evidence`, every sentence carries numbers that lead to a list of
/// findings at the end.
[[nodiscard]] std::string render_letter(const Letter& letter, LetterFormat format, bool evidence,
                                        const Phrases& phrases);

}  // namespace strapline::coaching
