#include "strapline/coaching/plan.hpp"

#include <algorithm>
#include <cmath>

namespace strapline::coaching {
namespace {

constexpr double kLeastLoadStep = 0.02;  ///< ACSM 2009: +2–10 %
constexpr double kUsualLoadStep = 0.05;  ///< the middle of it, as plates allow
constexpr double kLoadSlack = 1e-6;      ///< kg; loads are sums of plates

double floor_to_plates(double load_kg, const EnvelopeParameters& parameters) {
  return parameters.plate_kg * std::floor(load_kg / parameters.plate_kg + kLoadSlack);
}

/// Adds a step unless the way is long enough; false where it was cut.
bool add(PlacedSet& placed, const PlanStep& step, const EnvelopeParameters& parameters) {
  if (static_cast<int>(placed.steps.size()) >= parameters.most_steps) {
    placed.steps_cut = true;
    return false;
  }
  placed.steps.push_back(step);
  return true;
}

/// The most that one step of a way may add: a share of the heaviest load that the client is
/// accustomed to at any range (the strength is there).
double most_step(const Envelope& envelope, double load_kg) {
  double reference = load_kg;
  for (const EnvelopeBin& bin : envelope.bins) {
    if (bin.accustomed) reference = std::max(reference, bin.accustomed->counts_as_kg);
  }
  return envelope.parameters.most_load_step * reference + kLoadSlack;
}

/// The next load on the way, in whole plates; the planned one where it is near enough.
PlanStep step_up(const PlannedSet& planned, double load_kg, const Envelope& envelope) {
  const EnvelopeParameters& parameters = envelope.parameters;
  const double most = most_step(envelope, load_kg);
  PlanStep step{planned, NewThing::load, false};
  if (planned.load_kg <= load_kg + most) return step;
  const double whole = floor_to_plates(load_kg + most, parameters);
  const double plate = floor_to_plates(load_kg + parameters.plate_kg, parameters);
  step.set.load_kg = std::min(planned.load_kg, whole > load_kg + kLoadSlack ? whole : plate);
  // Where a tenth is less than a plate, the plate is what there is.
  step.coarse = step.set.load_kg > load_kg + most;
  return step;
}

void climb_load(PlacedSet& placed, double from_kg, const Envelope& envelope) {
  double load = from_kg;
  while (load < placed.planned.load_kg - kLoadSlack) {
    const PlanStep step = step_up(placed.planned, load, envelope);
    if (!add(placed, step, envelope.parameters)) return;
    load = step.set.load_kg;
  }
}

/// The greatest load that may go along with a range step: the accustomed one for a single bin, a
/// light one where the way is longer or more load is planned in the end.
double light_enough(const PlacedSet& placed, double from, const EnvelopeParameters& parameters) {
  const PlannedSet& planned = placed.planned;
  const double accustomed = placed.accustomed_load_kg.value_or(0.0);
  const bool one_bin = planned.range <= from + parameters.range_bin + parameters.range_slack;
  if (one_bin && planned.load_kg <= accustomed + kLoadSlack) return accustomed;
  return floor_to_plates(parameters.light_share * accustomed, parameters);
}

/// Range first, with a light load; then the load at the new range.
void climb_range(PlacedSet& placed, double from, const Envelope& envelope) {
  const EnvelopeParameters& parameters = envelope.parameters;
  const PlannedSet& planned = placed.planned;
  const double load = std::min(planned.load_kg, light_enough(placed, from, parameters));
  double range = from;
  while (range < planned.range - parameters.range_slack) {
    const double next = range + parameters.range_bin;
    range = planned.range <= next + parameters.range_slack ? planned.range : next;
    if (!add(placed, {{load, range}, NewThing::range, false}, parameters)) return;
  }
  climb_load(placed, load, envelope);
}

void place_at_known_range(PlacedSet& placed, const Envelope& envelope) {
  const double load = placed.planned.load_kg;
  const double accustomed = placed.at_range.accustomed->counts_as_kg;
  placed.accustomed_load_kg = accustomed;
  if (load <= accustomed + kLoadSlack) {
    placed.placing = Placing::inside;
    return;
  }
  placed.new_load = true;
  placed.once = load <= placed.at_range.heaviest->counts_as_kg + kLoadSlack;
  climb_load(placed, accustomed, envelope);
  placed.placing = placed.once || placed.steps.size() == 1 ? Placing::at_edge : Placing::outside;
  if (placed.once) placed.steps = {{placed.planned, NewThing::load, false}};
}

/// From where the way to a range that is not accustomed begins: what is, else what was done once.
double base_range(const PlacedSet& placed, const Envelope& envelope) {
  if (placed.accustomed_range) return *placed.accustomed_range;
  return furthest_on_days(envelope, 1).value_or(0.0);
}

double base_load(const Envelope& envelope, double range) {
  const EnvelopeBin known = handled_at(envelope, range);
  if (known.accustomed) return known.accustomed->counts_as_kg;
  return known.heaviest ? known.heaviest->counts_as_kg : 0.0;
}

/// Beyond what is accustomed at any load.
void place_at_new_range(PlacedSet& placed, const Envelope& envelope) {
  const EnvelopeParameters& parameters = envelope.parameters;
  const PlannedSet& planned = placed.planned;
  const double from = base_range(placed, envelope);
  const double accustomed = base_load(envelope, from);
  placed.accustomed_load_kg = accustomed;
  placed.new_range = planned.range > from + parameters.range_slack;
  const auto& heaviest = placed.at_range.heaviest;
  placed.once = heaviest && planned.load_kg <= heaviest->counts_as_kg + kLoadSlack;
  if (placed.once) {
    placed.placing = Placing::at_edge;
    placed.steps = {{planned, placed.new_range ? NewThing::range : NewThing::load, false}};
    return;
  }
  const double most = light_enough(placed, from, parameters);
  placed.new_load = planned.load_kg > most + kLoadSlack;
  climb_range(placed, from, envelope);
  const bool one_step = placed.steps.size() == 1 && !(placed.new_range && placed.new_load);
  placed.placing = one_step ? Placing::at_edge : Placing::outside;
}

}  // namespace

PlanStep next_load(double load_kg, double range, const EnvelopeParameters& parameters) {
  PlanStep step{{0.0, range}, NewThing::load, false};
  const double plate = parameters.plate_kg;
  const double most = load_kg * (1.0 + parameters.most_load_step);
  double next = plate * std::round(load_kg * (1.0 + kUsualLoadStep) / plate);
  if (next <= load_kg || next < load_kg * (1.0 + kLeastLoadStep))
    next = plate * (std::floor(load_kg / plate + kLoadSlack) + 1.0);
  step.coarse = next > most + kLoadSlack;
  step.set.load_kg = next;
  return step;
}

PlacedSet place_set(const Envelope& envelope, const PlannedSet& planned) {
  PlacedSet placed;
  placed.planned = planned;
  placed.at_range = handled_at(envelope, planned.range);
  placed.accustomed_range = furthest_on_days(envelope, envelope.parameters.least_days);
  if (envelope.evidence.empty()) return placed;
  if (placed.at_range.accustomed) {
    place_at_known_range(placed, envelope);
  } else {
    place_at_new_range(placed, envelope);
  }
  return placed;
}

}  // namespace strapline::coaching
