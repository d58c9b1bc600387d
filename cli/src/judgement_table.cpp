#include "judgement_table.hpp"

#include <fmt/format.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/rep_listing.hpp"
#include "strapline/coaching/wording_judgement.hpp"

#include "text_table.hpp"

namespace strapline::cli {
namespace {

using coaching::AimJudgement;
using coaching::MeasureJudgement;

constexpr std::size_t kHeadWidth = 12;

std::string head_of(const MeasureJudgement& judged) {
  return fmt::format("{}",
                     fmt::join(wrapped(coaching::measure_title(judged.measure), kHeadWidth), "\n"));
}

/// One row per full rep, one column per measure that was judged.
std::string reps_table(const AimJudgement& judgement, const std::vector<std::string>& labels) {
  std::vector<const MeasureJudgement*> shown;
  for (const MeasureJudgement& judged : judgement.measures) {
    if (judged.tally.measured() > 0) shown.push_back(&judged);
  }
  if (shown.empty()) return {};
  TextTable table;
  table.add_column("rep", TextTable::Align::left);
  table.add_column("all together", TextTable::Align::left);
  for (const auto* judged : shown) table.add_column(head_of(*judged), TextTable::Align::right);
  for (std::size_t i = 0; i < judgement.reps.size(); ++i) {
    std::vector<std::string> row{labels[judgement.reps[i].rep],
                                 std::string(coaching::verdict_name(judgement.reps[i].verdict))};
    for (const auto* judged : shown) row.push_back(coaching::rep_cell(judged->reps[i]));
    table.add_row(std::move(row));
  }
  return "\n" + table.text(kTextWidth);
}

/// A description of what was done; nothing where the movement has no aims to be near to.
std::string variation_text(const JudgedReview& review) {
  if (review.variation.fits.empty()) return {};
  return paragraph("", coaching::say_variation(review.variation), kTextWidth);
}

std::string what_matters(const AimJudgement& judgement) {
  if (judgement.matters_most.empty()) return {};
  std::string text = "\nMatters most for this aim:\n";
  for (const std::size_t i : judgement.matters_most) {
    text += paragraph("  - ", coaching::say_what_matters(judgement.measures[i]), kTextWidth);
  }
  return text;
}

}  // namespace

std::string rep_label(const coaching::Caution& caution, const std::vector<dsp::Rep>& reps) {
  return caution.rep ? coaching::rep_labels(reps).at(*caution.rep) : std::string();
}

std::string judgement_table(const ReviewedSet& set, const JudgedReview& review) {
  if (!review.aim) {
    return "\n" + paragraph("Aim: none. ", review.no_aim, kTextWidth) + variation_text(review);
  }
  const AimJudgement& judgement = *review.aim;
  std::string text = "\n" + paragraph("Aim: ", judgement.aim.title, kTextWidth);
  text += paragraph("", coaching::say_judgement(judgement), kTextWidth);
  if (const auto words = coaching::say_reservation(judgement); !words.empty()) {
    text += paragraph("", words, kTextWidth);
  }
  text += variation_text(review);
  if (judgement.measures.empty()) return text;
  text += reps_table(judgement, coaching::rep_labels(set.analysis.reps)) + "\n";
  for (const MeasureJudgement& judged : judgement.measures) {
    text += paragraph("  - ", coaching::say_measure(judged, judgement.aim.strictness), kTextWidth);
  }
  text += what_matters(judgement);
  return text + "\n" + paragraph("", std::string(coaching::how_to_read_verdicts()), kTextWidth);
}

std::string cautions_seen(const ReviewedSet& set, const JudgedReview& review) {
  if (review.cautions.empty()) return {};
  std::string text = "\nSeen in this set, whatever the aim:\n";
  for (const coaching::Caution& caution : review.cautions) {
    const std::string words = coaching::say_caution(caution, rep_label(caution, set.analysis.reps));
    text += paragraph("  ! ", fmt::format("{} ({})", words, caution.source), kTextWidth);
  }
  return text;
}

}  // namespace strapline::cli
