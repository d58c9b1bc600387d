#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_judgement.hpp"

#include "letter_words.hpp"
#include "outside_reps.hpp"
#include "wording_numbers.hpp"

namespace strapline::coaching {
namespace {

std::string from(const std::string& set, const std::string& what) { return set + ": " + what; }

std::string load_words(const LetterInput& input, const LetterWriter& writer) {
  std::optional<double> most;
  for (const LetterSet& set : input.session) {
    if (set.load_kg) most = std::max(most.value_or(0.0), *set.load_kg);
  }
  if (!most) return writer.say("seen.load_unknown");
  if (*most == 0.0) return writer.say("seen.body_weight");
  return writer.say("seen.load", {{"kg", plain_number(*most)}});
}

/// Of the last set: that is the one that effort is asked for.
std::string effort_words(const LetterInput& input, const LetterWriter& writer) {
  const LetterSet& last = input.session.back();
  if (last.reps_in_reserve) {
    return writer.say("seen.reserve", {{"reserve", plain_number(*last.reps_in_reserve)}});
  }
  if (last.effort_rpe) return writer.say("seen.rpe", {{"rpe", plain_number(*last.effort_rpe)}});
  return writer.say("seen.effort_unknown");
}

void write_session(const LetterInput& input, LetterWriter& writer) {
  int reps = 0;
  int part_reps = 0;
  std::vector<std::string> evidence;
  for (const LetterSet& set : input.session) {
    reps += set.full_reps;
    part_reps += set.part_reps;
    evidence.push_back(from(
        set.name,
        fmt::format("{} full reps, {} part reps, {}, {}", set.full_reps, set.part_reps,
                    format_load(set.load_kg), format_effort(set.effort_rpe, set.reps_in_reserve))));
  }
  writer.add(input.session.size() == 1 ? "seen.one_set" : "seen.sets",
             {{"date", date_from_days(input.day)},
              {"sets", std::to_string(input.session.size())},
              {"reps", std::to_string(reps)},
              {"load", load_words(input, writer)},
              {"effort", effort_words(input, writer)}},
             evidence);
  if (part_reps > 0) {
    writer.add("seen.part_reps", {{"count", std::to_string(part_reps)}}, evidence);
  }
}

std::string tally_key(const AimJudgement& judgement) {
  if (judgement.measures.empty()) return "seen.holds_not";
  switch (judgement.verdict) {
    case SetVerdict::met:
      return "seen.met";
    case SetVerdict::not_met:
      return "seen.not_met";
    case SetVerdict::cannot_tell:
      return "seen.cannot_tell";
    case SetVerdict::not_judged:
      break;
  }
  return "seen.not_judged";
}

void write_tally(const LetterSet& set, LetterWriter& writer) {
  const AimJudgement& judgement = *set.judgement;
  const Tally& tally = judgement.tally;
  writer.add(tally_key(judgement),
             {{"inside", std::to_string(tally.inside)},
              {"outside", std::to_string(tally.outside)},
              {"open", std::to_string(tally.too_close + tally.not_measured)},
              {"all", std::to_string(tally.all())},
              {"needed", std::to_string(reps_needed(judgement.aim.strictness, tally.all()))}},
             {from(set.name, say_judgement(judgement))});
}

bool mostly_over(const MeasureJudgement& judged) {
  const OutsideReps outside = outside_reps(judged);
  return outside.over > outside.under;
}

void write_outside(const LetterSet& set, const MeasureJudgement& judged, LetterWriter& writer) {
  const OutsideReps outside = outside_reps(judged);
  writer.add("seen.outside",
             {{"measure", writer.measure(judged.measure)},
              {"count", std::to_string(outside.under + outside.over)},
              {"measured", std::to_string(judged.tally.measured())},
              {"direction", writer.say(mostly_over(judged) ? "seen.over" : "seen.under")},
              {"most", format_value(outside.most, judged.band.unit)}},
             {from(set.name, say_what_matters(judged))});
}

void write_not_measured(const LetterSet& set, LetterWriter& writer) {
  for (const MeasureJudgement& judged : set.judgement->measures) {
    if (judged.tally.measured() > 0 || judged.unknown) continue;
    writer.add("seen.not_measured", {{"measure", writer.measure(judged.measure)}},
               {from(set.name, say_measure(judged, set.judgement->aim.strictness))});
  }
}

/// Pain within the limit is told, too: the client logged it, and it counts.
void write_pain(const LetterInput& input, LetterWriter& writer) {
  for (const LetterSet& set : input.session) {
    if (!set.pain || !(*set.pain > 0.0)) continue;
    writer.add("seen.pain",
               {{"pain", plain_number(*set.pain)},
                {"place", set.pain_place.empty() ? input.movement : set.pain_place}},
               {from(set.name, format_pain(set.pain, set.pain_place))});
  }
}

/// What the letter tells of: the range, and what the aim asks about.
bool is_told(const MeasureFinding& finding, const LetterInput& input) {
  if (finding.measure == "range") return true;
  if (!input.aim) return false;
  return std::any_of(input.aim->bands.begin(), input.aim->bands.end(),
                     [&](const AimBand& band) { return concerns(band, finding.measure); });
}

std::vector<std::string> change_evidence(const Comparison& comparison,
                                         const MeasureFinding& finding) {
  std::vector<std::string> evidence = {measure_title(finding.measure) + ": " + say_change(finding),
                                       say_error(finding)};
  const auto sets_of = [&](const ComparedSide& side) {
    std::string sets;
    for (const std::size_t set : side.sets) {
      sets += (sets.empty() ? "" : ", ") + comparison.sets[set].name;
    }
    return sets;
  };
  evidence.push_back("baseline: " + sets_of(*finding.baseline));
  evidence.push_back("latest: " + sets_of(*finding.latest));
  return evidence;
}

void write_change(const Comparison& comparison, const MeasureFinding& finding,
                  LetterWriter& writer) {
  const auto value = [&](double si) { return format_value(si, finding.unit); };
  writer.add(finding.change->smaller_than_matters ? "changed.small" : "changed.changed",
             {{"measure", writer.measure(finding.measure)},
              {"before", value(finding.baseline->mean.value)},
              {"after", value(finding.latest->mean.value)}},
             change_evidence(comparison, finding));
}

using Told = std::vector<const MeasureFinding*>;

/// Those of one verdict in one sentence: a client reads what changed first.
void write_list(const Comparison& comparison, const Told& told, Verdict verdict,
                const std::string& key, LetterWriter& writer) {
  std::string measures;
  std::vector<std::string> evidence;
  for (const MeasureFinding* finding : told) {
    if (finding->change->verdict != verdict) continue;
    std::string measure = writer.measure(finding->measure);
    if (const auto& sets = finding->change->further_sets) {
      measure =
          writer.say("changed.with_sets", {{"measure", measure}, {"sets", std::to_string(*sets)}});
    }
    measures += (measures.empty() ? "" : "; ") + measure;
    const auto more = change_evidence(comparison, *finding);
    evidence.insert(evidence.end(), more.begin(), more.end());
  }
  if (!measures.empty()) writer.add(key, {{"measures", measures}}, evidence);
}

/// The sides of the first comparison told: load, reps and effort stand beside every change.
void write_sides(const Comparison& comparison, const MeasureFinding& finding,
                 LetterWriter& writer) {
  const std::string baseline = say_side(comparison, *finding.baseline);
  const std::string latest = say_side(comparison, *finding.latest);
  writer.add("changed.beside", {{"baseline", baseline}, {"latest", latest}},
             {"baseline: " + baseline, "latest: " + latest});
}

}  // namespace

void write_asked(const LetterInput& input, LetterWriter& writer) {
  if (input.ladder && input.next) {
    const LadderStep& step = input.ladder->steps[input.next->step];
    writer.add("asked.step", {{"step", step.title}, {"reps", std::to_string(step.reps)}},
               {fmt::format("ladder {}, step {}", input.ladder->name, step.name)});
  }
  if (!input.aim) return;
  const std::string aim = "aim " + input.aim->name;
  writer.add("asked.aim", {{"title", input.aim->title}, {"purpose", input.aim->purpose}}, {aim});
  const LetterSet* told = told_set(input);
  for (const AimBand& band : input.aim->bands) {
    // The edges at the load of the set; without one, those of the lightest load.
    const LoadedWith with = told != nullptr ? told->judgement->with : LoadedWith{};
    const auto edges = edges_at(band, with);
    const std::string means = writer.means(band.measure);
    writer.add(
        means.empty() ? "asked.band" : "asked.band_means",
        {{"measure", writer.measure(band.measure)},
         {"means", means},
         {"edges", writer.edges(edges ? *edges : band.at.front().edges, band.unit)},
         {"why", band.why}},
        {fmt::format("{}, band {}: {} ({})", aim, band.measure, say_band(band), band.source)});
  }
}

void write_seen(const LetterInput& input, LetterWriter& writer) {
  if (input.session.empty()) {
    writer.add("seen.nothing", {}, {"logbook: no set of this step"});
    return;
  }
  write_session(input, writer);
  write_pain(input, writer);
  const LetterSet* told = told_set(input);
  for (const LetterSet& set : input.session) {
    if (set.judgement) write_tally(set, writer);
  }
  if (told == nullptr) return;
  for (const std::size_t i : told->judgement->matters_most) {
    write_outside(*told, told->judgement->measures[i], writer);
  }
  write_not_measured(*told, writer);
}

void write_changed(const LetterInput& input, LetterWriter& writer) {
  Told told;
  if (input.comparison) {
    for (const MeasureFinding& finding : input.comparison->findings) {
      if (finding.change && is_told(finding, input)) told.push_back(&finding);
    }
  }
  if (told.empty()) {
    writer.add("changed.nothing", {}, {"logbook: fewer than two sets of the same kind"});
    return;
  }
  for (const MeasureFinding* finding : told) {
    if (finding->change->verdict == Verdict::changed) {
      write_change(*input.comparison, *finding, writer);
    }
  }
  write_list(*input.comparison, told, Verdict::unchanged, "changed.unchanged", writer);
  write_list(*input.comparison, told, Verdict::cannot_tell, "changed.cannot_tell", writer);
  write_sides(*input.comparison, *told.front(), writer);
}

void write_cues(const LetterInput& input, LetterWriter& writer) {
  const bool stopped = input.next && input.next->proposal == Proposal::stop;
  if (stopped || !input.pain.empty()) return;
  const LetterSet* told = told_set(input);
  if (told == nullptr) return;
  for (const std::size_t i : told->judgement->matters_most) {
    const MeasureJudgement& judged = told->judgement->measures[i];
    const auto name = parse_measure_name(judged.measure);
    if (!name) continue;
    const std::string key = "cues." + name->base + (mostly_over(judged) ? "_over" : "_under");
    if (writer.has(key)) writer.add(key, {}, {from(told->name, say_what_matters(judged))});
  }
  const bool met = whole_verdict(*told->judgement) == SetVerdict::met && told->cautions.empty();
  if (met && told->judgement->matters_most.empty()) {
    writer.add("cues.keep", {}, {from(told->name, say_judgement(*told->judgement))});
  }
}

}  // namespace strapline::coaching
