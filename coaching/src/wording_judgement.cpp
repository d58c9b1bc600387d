#include "strapline/coaching/wording_judgement.hpp"

#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"

#include "outside_reps.hpp"
#include "wording_numbers.hpp"

namespace strapline::coaching {
namespace {

std::string on_scale(double load, LoadScale scale) {
  return scale == LoadScale::kg ? kilograms(load) : plain_number(load) + " × body mass";
}

std::string_view unknown_name(Unknown unknown) {
  return unknown == Unknown::load ? "the load was not logged"
                                  : "the client's body mass is not known";
}

std::string say_excess(const RepFinding& finding) {
  const std::string amount = format_value(std::abs(finding.beyond), finding.measured->unit);
  return amount + (*finding.edge == Edge::low ? " under" : " over");
}

/// The first reason that a rep gives.
std::string reason_of(const MeasureJudgement& judged) {
  for (const RepFinding& finding : judged.reps) {
    if (!finding.not_measured.empty()) return finding.not_measured;
  }
  return "this movement's file does not list it";
}

std::string directions(const OutsideReps& excess) {
  if (excess.over == 0) return "under it";
  return excess.under == 0 ? "over it" : "under or over it";
}

}  // namespace

std::string say_edges(const Band& edges, dsp::Unit unit) {
  if (!edges.high) return "at least " + format_value(*edges.low, unit);
  if (!edges.low) return "at most " + format_value(*edges.high, unit);
  return format_value(*edges.low, unit) + " to " + format_value(*edges.high, unit);
}

std::string say_band(const AimBand& band) {
  if (!band.depends_on_load()) return say_edges(band.at.front().edges, band.unit);
  std::string text;
  for (const BandAtLoad& row : band.at) {
    text += (text.empty() ? "" : "; ") + say_edges(row.edges, band.unit) + " at " +
            on_scale(row.load, band.scale);
  }
  return text + "; in between in proportion";
}

std::string say_loads(const Aim& aim) {
  if (!aim.holds_for) return "any load";
  const Band& load = aim.holds_for->load;
  const LoadScale scale = aim.holds_for->scale;
  if (load.high && *load.high == 0.0) return "body weight or less";
  if (!load.low) return "loads up to " + on_scale(*load.high, scale);
  if (!load.high) return "loads from " + on_scale(*load.low, scale);
  return "loads from " + on_scale(*load.low, scale) + " to " + on_scale(*load.high, scale);
}

std::string_view verdict_name(RepVerdict verdict) {
  switch (verdict) {
    case RepVerdict::inside:
      return "inside";
    case RepVerdict::outside:
      return "outside";
    case RepVerdict::too_close:
      return "too close to call";
    case RepVerdict::not_measured:
      return "not measured";
    case RepVerdict::other_side:
      break;
  }
  return "other side";
}

std::string_view verdict_name(SetVerdict verdict) {
  switch (verdict) {
    case SetVerdict::met:
      return "met";
    case SetVerdict::not_met:
      return "not met";
    case SetVerdict::cannot_tell:
      return "cannot tell";
    case SetVerdict::not_judged:
      break;
  }
  return "not judged";
}

std::string rep_cell(const RepFinding& finding) {
  switch (finding.verdict) {
    case RepVerdict::inside:
      return "inside";
    case RepVerdict::outside:
      return say_excess(finding);
    case RepVerdict::too_close:
      return "too close";
    case RepVerdict::not_measured:
      return "–";
    case RepVerdict::other_side:
      break;
  }
  return "other side";
}

std::string say_tally(const Tally& tally) {
  std::string text = fmt::format("{} of {} inside", tally.inside, tally.all());
  if (tally.outside > 0) text += fmt::format(", {} outside", tally.outside);
  if (tally.too_close > 0) text += fmt::format(", {} too close to call", tally.too_close);
  if (tally.not_measured > 0) text += fmt::format(", {} not measured", tally.not_measured);
  return text;
}

std::string say_measure(const MeasureJudgement& judged, double strictness) {
  const std::string title = measure_title(judged.measure);
  if (judged.unknown) {
    return fmt::format("{}: not judged, its band depends on the load, and {}.", title,
                       unknown_name(*judged.unknown));
  }
  const std::string edges = say_edges(*judged.edges, judged.band.unit);
  if (judged.tally.measured() == 0) {
    return fmt::format("{}, {}: not judged, {}.", title, edges,
                       judged.reps.empty() ? "there is no full rep" : reason_of(judged));
  }
  return fmt::format("{}, {}: {}; {} asked for: {}.", title, edges, say_tally(judged.tally),
                     reps_needed(strictness, judged.tally.all()), verdict_name(judged.verdict));
}

std::string say_judgement(const AimJudgement& judgement) {
  const Aim& aim = judgement.aim;
  switch (judgement.holding) {
    case Holding::other_movement:
      return fmt::format("This aim is for the movement {}: nothing is judged.", aim.movement);
    case Holding::load_too_low:
    case Holding::load_too_high:
      return fmt::format("This aim does not hold at {}: it is for {}. Nothing is judged.",
                         format_load(judgement.with.load_kg), say_loads(aim));
    case Holding::holds:
    case Holding::load_unknown:
    case Holding::body_mass_unknown:
      break;
  }
  if (judgement.verdict == SetVerdict::not_judged) {
    return judgement.reps.empty() ? "Not judged: there is no full rep."
                                  : "Not judged: nothing that this aim asks about was measured.";
  }
  return fmt::format("{}: {} of {} reps asked for; {}.",
                     judgement.verdict == SetVerdict::met       ? "Met"
                     : judgement.verdict == SetVerdict::not_met ? "Not met"
                                                                : "Cannot tell",
                     reps_needed(aim.strictness, judgement.tally.all()), judgement.tally.all(),
                     say_tally(judgement.tally));
}

std::string say_reservation(const AimJudgement& judgement) {
  std::string text;
  if (judgement.other_variation) {
    text = fmt::format(
        "The aim is for the variation '{}'; the set was logged {}. ", judgement.aim.variation,
        judgement.other_variation->empty() ? "without one"
                                           : "as '" + *judgement.other_variation + "'");
  }
  if (judgement.holding == Holding::load_unknown) {
    text += fmt::format("The load was not logged; the aim is for {}. ", say_loads(judgement.aim));
  }
  if (judgement.holding == Holding::body_mass_unknown) {
    text += fmt::format("The client's body mass is not known; the aim is for {}. ",
                        say_loads(judgement.aim));
  }
  if (!text.empty()) text.pop_back();
  return text;
}

std::string say_what_matters(const MeasureJudgement& judged) {
  const OutsideReps excess = outside_reps(judged);
  return fmt::format("{}: asked for is {}; {} of {} reps {}, the furthest by {}. {}",
                     measure_title(judged.measure), say_edges(*judged.edges, judged.band.unit),
                     judged.tally.outside, judged.tally.measured(), directions(excess),
                     format_value(excess.most, judged.band.unit), judged.band.why);
}

std::string_view how_to_read_verdicts() {
  return "Inside and outside are said where the 95 % interval of the value lies on one side of the "
         "edge; too close to call where the edge lies inside it. Reps too close to call count "
         "neither way.";
}

}  // namespace strapline::coaching
