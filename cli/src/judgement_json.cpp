#include "judgement_json.hpp"

#include "strapline/coaching/wording_judgement.hpp"

#include "judgement_table.hpp"

namespace strapline::cli {
namespace {

using coaching::AimJudgement;
using coaching::MeasureJudgement;
using coaching::RepFinding;
using nlohmann::ordered_json;

ordered_json edge_json(const std::optional<double>& edge, dsp::Unit unit) {
  if (!edge) return {};
  return *edge * dsp::display_factor(unit);
}

ordered_json tally_json(const coaching::Tally& tally) {
  return {{"inside", tally.inside},
          {"outside", tally.outside},
          {"too_close", tally.too_close},
          {"not_measured", tally.not_measured}};
}

std::string_view key_of(coaching::RepVerdict verdict) {
  switch (verdict) {
    case coaching::RepVerdict::inside:
      return "inside";
    case coaching::RepVerdict::outside:
      return "outside";
    case coaching::RepVerdict::too_close:
      return "too_close";
    case coaching::RepVerdict::not_measured:
      return "not_measured";
    case coaching::RepVerdict::other_side:
      break;
  }
  return "other_side";
}

std::string_view key_of(coaching::SetVerdict verdict) {
  switch (verdict) {
    case coaching::SetVerdict::met:
      return "met";
    case coaching::SetVerdict::not_met:
      return "not_met";
    case coaching::SetVerdict::cannot_tell:
      return "cannot_tell";
    case coaching::SetVerdict::not_judged:
      break;
  }
  return "not_judged";
}

std::string_view key_of(coaching::Holding holding) {
  switch (holding) {
    case coaching::Holding::holds:
      return "holds";
    case coaching::Holding::load_unknown:
      return "load_unknown";
    case coaching::Holding::body_mass_unknown:
      return "body_mass_unknown";
    case coaching::Holding::load_too_low:
      return "load_too_low";
    case coaching::Holding::load_too_high:
      return "load_too_high";
    case coaching::Holding::other_movement:
      break;
  }
  return "other_movement";
}

ordered_json rep_json(const RepFinding& finding, dsp::Unit unit) {
  ordered_json one;
  one["rep"] = finding.rep;
  one["verdict"] = key_of(finding.verdict);
  one["edge"] = ordered_json();
  one["beyond"] = ordered_json();
  if (finding.edge) {
    one["edge"] = *finding.edge == coaching::Edge::low ? "at_least" : "at_most";
    one["beyond"] = finding.beyond * dsp::display_factor(unit);
  }
  return one;
}

ordered_json measure_json(const MeasureJudgement& judged, double strictness) {
  ordered_json one;
  one["measure"] = judged.measure;
  one["unit"] = dsp::display_unit(judged.band.unit);
  one["band"] = judged.edges ? band_json(*judged.edges, judged.band.unit) : ordered_json();
  one["verdict"] = key_of(judged.verdict);
  one["tally"] = tally_json(judged.tally);
  one["weight"] = judged.weight;
  one["reps"] = ordered_json::array();
  for (const RepFinding& finding : judged.reps) {
    one["reps"].push_back(rep_json(finding, judged.band.unit));
  }
  one["in_words"] = coaching::say_measure(judged, strictness);
  one["why"] = judged.band.why;
  one["source"] = judged.band.source;
  return one;
}

}  // namespace

ordered_json band_json(const coaching::Band& band, dsp::Unit unit) {
  return {{"at_least", edge_json(band.low, unit)}, {"at_most", edge_json(band.high, unit)}};
}

ordered_json aim_json(const JudgedReview& review) {
  if (!review.aim) return {};
  const AimJudgement& judgement = *review.aim;
  ordered_json json;
  json["name"] = judgement.aim.name;
  json["title"] = judgement.aim.title;
  json["holding"] = key_of(judgement.holding);
  json["verdict"] = key_of(judgement.verdict);
  json["strictness"] = judgement.aim.strictness;
  json["reps_needed"] = coaching::reps_needed(judgement.aim.strictness, judgement.tally.all());
  json["tally"] = tally_json(judgement.tally);
  json["in_words"] = coaching::say_judgement(judgement);
  json["reservation"] = coaching::say_reservation(judgement);
  json["reps"] = ordered_json::array();
  for (const auto& rep : judgement.reps) {
    json["reps"].push_back({{"rep", rep.rep}, {"verdict", key_of(rep.verdict)}});
  }
  json["measures"] = ordered_json::array();
  for (const MeasureJudgement& judged : judgement.measures) {
    json["measures"].push_back(measure_json(judged, judgement.aim.strictness));
  }
  json["matters_most"] = ordered_json::array();
  for (const std::size_t i : judgement.matters_most) {
    json["matters_most"].push_back(
        {{"measure", judgement.measures[i].measure},
         {"in_words", coaching::say_what_matters(judgement.measures[i])}});
  }
  return json;
}

ordered_json variation_json(const JudgedReview& review) {
  ordered_json json = {{"told", review.variation.told},
                       {"in_words", coaching::say_variation(review.variation)}};
  json["fits"] = ordered_json::array();
  for (const coaching::VariationFit& fit : review.variation.fits) {
    json["fits"].push_back({{"aim", fit.aim.empty() ? ordered_json() : ordered_json(fit.aim)},
                            {"title", fit.title},
                            {"probability", fit.probability},
                            {"measures", fit.measures}});
  }
  return json;
}

ordered_json cautions_json(const ReviewedSet& set, const JudgedReview& review) {
  ordered_json list = ordered_json::array();
  for (const coaching::Caution& caution : review.cautions) {
    const std::string label = rep_label(caution, set.analysis.reps);
    ordered_json one;
    one["kind"] = coaching::caution_name(caution.kind);
    one["measure"] = caution.measure.empty() ? ordered_json() : ordered_json(caution.measure);
    one["rep"] = caution.rep ? ordered_json(*caution.rep) : ordered_json();
    one["in_words"] = coaching::say_caution(caution, label);
    one["source"] = caution.source;
    list.push_back(std::move(one));
  }
  return list;
}

}  // namespace strapline::cli
