#pragma once

#include <string>
#include <string_view>

#include "strapline/coaching/cautions.hpp"
#include "strapline/coaching/judgement.hpp"

namespace strapline::coaching {

/// The words for aims, judgements and cautions. As in wording.hpp, nothing here calls a rep, a
/// client or a variation wrong: a rep lies inside or outside what this client meant to do.

/// "at least -5.0°", "at most 3.0 cm", "30.0° to 45.0°".
[[nodiscard]] std::string say_edges(const Band& edges, dsp::Unit unit);
/// The edges of a band of an aim, with its loads where they make a difference.
[[nodiscard]] std::string say_band(const AimBand& band);
/// "loads up to 60 kg", "any load".
[[nodiscard]] std::string say_loads(const Aim& aim);

/// "inside", "outside", "too close to call", "not measured", "other side".
[[nodiscard]] std::string_view verdict_name(RepVerdict verdict);
/// "met", "not met", "cannot tell", "not judged".
[[nodiscard]] std::string_view verdict_name(SetVerdict verdict);

/// For a table's cell: "inside", "6.2° under", "1.1 cm over", "too close", "–", "other side".
[[nodiscard]] std::string rep_cell(const RepFinding& finding);

/// "4 of 5 inside, 1 too close to call".
[[nodiscard]] std::string say_tally(const Tally& tally);
/// What became of one measure: the edges, the tally, the verdict, or why it was not judged.
[[nodiscard]] std::string say_measure(const MeasureJudgement& judged, double strictness);
/// The whole set in a sentence or two: whether the aim says anything about it, and whether it is
/// met.
[[nodiscard]] std::string say_judgement(const AimJudgement& judgement);
/// What a reader must know beside it: another variation, an unknown load; "" for nothing.
[[nodiscard]] std::string say_reservation(const AimJudgement& judgement);
/// One of AimJudgement::matters_most: how many reps, by how much, which way, and why it matters.
[[nodiscard]] std::string say_what_matters(const MeasureJudgement& judged);
/// How to read "too close to call".
[[nodiscard]] std::string_view how_to_read_verdicts();

/// Machine-readable name of a kind: "pain_above_limit".
[[nodiscard]] std::string_view caution_name(CautionKind kind);
/// For a list: "knee line inward with fatigue".
[[nodiscard]] std::string_view caution_title(CautionKind kind);
/// A caution's reason in a sentence or two. `rep_label`: as rep_labels gives it for its rep.
[[nodiscard]] std::string say_caution(const Caution& caution, std::string_view rep_label);

}  // namespace strapline::coaching
