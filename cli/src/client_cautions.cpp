#include "client_cautions.hpp"

#include "strapline/coaching/plan.hpp"

#include "loaded_sets.hpp"

namespace strapline::cli {
namespace {

/// Where the set lies in what came before it; empty where that, its load or its range is not known.
std::optional<coaching::OutsideAccustomed> outside_accustomed(const DatedSet& dated,
                                                              const std::vector<DatedSet>& history,
                                                              double pain_limit) {
  coaching::EnvelopeParameters parameters;
  parameters.pain_limit = pain_limit;
  const auto range = range_of(dated.set, kRange);
  if (!range || !dated.set.description.load_kg) return std::nullopt;
  std::vector<coaching::HandledSet> before;
  for (const DatedSet& other : history) {
    const bool same = other.set.description.movement == dated.set.description.movement;
    if (same && other.day < dated.day) before.push_back(to_handled(other, kRange));
  }
  const auto envelope = coaching::make_envelope(before, dated.day, parameters);
  const auto placed =
      coaching::place_set(envelope, {*dated.set.description.load_kg, range->median});
  if (placed.placing != coaching::Placing::outside) return std::nullopt;
  return coaching::OutsideAccustomed{placed.new_range, placed.new_load, placed.accustomed_load_kg,
                                     placed.accustomed_range};
}

}  // namespace

std::vector<coaching::Caution> cautions_of(const DatedSet& dated,
                                           const std::vector<DatedSet>& history,
                                           const coaching::AgreedLimits& limits) {
  coaching::CautionInput input;
  input.set = to_compared(dated.set);
  input.reps = dated.set.reps;
  input.limits = limits;
  const auto measures = coaching::caution_history_measures();
  for (const DatedSet& other : history) {
    if (other.set.description.movement == dated.set.description.movement) {
      input.history.push_back(to_compared(other.set, measures));
    }
  }
  input.accustomed = outside_accustomed(dated, history, limits.pain);
  return coaching::find_cautions(input);
}

}  // namespace strapline::cli
