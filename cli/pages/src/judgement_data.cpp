#include "judgement_data.hpp"

#include <vector>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/rep_listing.hpp"
#include "strapline/coaching/wording_judgement.hpp"

namespace strapline::pages {
namespace {

using coaching::AimJudgement;
using coaching::MeasureJudgement;
using nlohmann::json;

/// For style alone: the words beside it say the same.
std::string_view style_of(coaching::RepVerdict verdict) {
  switch (verdict) {
    case coaching::RepVerdict::inside:
      return "inside";
    case coaching::RepVerdict::outside:
      return "outside";
    case coaching::RepVerdict::too_close:
      return "close";
    case coaching::RepVerdict::not_measured:
    case coaching::RepVerdict::other_side:
      break;
  }
  return "none";
}

std::string_view style_of(coaching::SetVerdict verdict) {
  switch (verdict) {
    case coaching::SetVerdict::met:
      return "met";
    case coaching::SetVerdict::not_met:
      return "unmet";
    case coaching::SetVerdict::cannot_tell:
    case coaching::SetVerdict::not_judged:
      break;
  }
  return "cannot";
}

json verdict_json(coaching::SetVerdict verdict) {
  return {{"words", coaching::verdict_name(verdict)}, {"style", style_of(verdict)}};
}

json row_of(const MeasureJudgement& judged, double strictness) {
  json row = {{"name", judged.measure},
              {"title", coaching::measure_title(judged.measure)},
              {"edges", judged.edges ? coaching::say_edges(*judged.edges, judged.band.unit)
                                     : coaching::say_band(judged.band)},
              {"why", judged.band.why},
              {"source", judged.band.source},
              {"words", coaching::say_measure(judged, strictness)},
              {"verdict", verdict_json(judged.verdict)},
              {"judged", judged.tally.measured() > 0},
              {"cells", json::array()}};
  for (const coaching::RepFinding& finding : judged.reps) {
    row["cells"].push_back(
        {{"words", coaching::rep_cell(finding)}, {"style", style_of(finding.verdict)}});
  }
  return row;
}

void add_reps(const ReviewPageInput& input, json& data) {
  const std::vector<std::string> labels = coaching::rep_labels(input.analysis.reps);
  data["reps"] = json::array();
  for (const coaching::RepJudgement& rep : input.aim->reps) {
    data["reps"].push_back({{"label", labels.at(rep.rep)},
                            {"words", coaching::verdict_name(rep.verdict)},
                            {"style", style_of(rep.verdict)}});
  }
}

}  // namespace

json judgement_data(const ReviewPageInput& input) {
  if (!input.aim) return {{"none", input.no_aim}, {"variation", input.variation}};
  const AimJudgement& judgement = *input.aim;
  json data = {{"title", judgement.aim.title},
               {"purpose", judgement.aim.purpose},
               {"loads", coaching::say_loads(judgement.aim)},
               {"words", coaching::say_judgement(judgement)},
               {"reservation", coaching::say_reservation(judgement)},
               {"verdict", verdict_json(judgement.verdict)},
               {"variation", input.variation},
               {"how_to_read", coaching::how_to_read_verdicts()},
               {"measures", json::array()},
               {"matters", json::array()}};
  add_reps(input, data);
  for (const MeasureJudgement& judged : judgement.measures) {
    data["measures"].push_back(row_of(judged, judgement.aim.strictness));
  }
  for (const std::size_t i : judgement.matters_most) {
    data["matters"].push_back(coaching::say_what_matters(judgement.measures.at(i)));
  }
  return data;
}

json seen_data(const ReviewPageInput& input) {
  const std::vector<std::string> labels = coaching::rep_labels(input.analysis.reps);
  json list = json::array();
  for (const coaching::Caution& caution : input.cautions_seen) {
    if (caution.kind == coaching::CautionKind::pain_above_limit) continue;  // it heads the page
    const std::string label = caution.rep ? labels.at(*caution.rep) : std::string();
    list.push_back({{"words", coaching::say_caution(caution, label)}, {"source", caution.source}});
  }
  return list;
}

}  // namespace strapline::pages
