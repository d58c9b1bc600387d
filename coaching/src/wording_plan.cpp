#include "strapline/coaching/wording_plan.hpp"

#include <fmt/format.h>

#include "strapline/coaching/wording.hpp"

namespace strapline::coaching {
namespace {

std::string angle(double rad) { return format_value(rad, dsp::Unit::radian); }

std::string say_accustomed(const PlacedSet& placed) {
  if (placed.at_range.accustomed) {
    return fmt::format("Accustomed at {} or further is {}.", angle(placed.planned.range),
                       format_load(placed.at_range.accustomed->counts_as_kg));
  }
  if (!placed.accustomed_range) return "No range is accustomed yet.";
  return fmt::format("Accustomed is a range up to {}, there with {}.",
                     angle(*placed.accustomed_range),
                     format_load(placed.accustomed_load_kg.value_or(0.0)));
}

std::string say_new(const PlacedSet& placed) {
  const double range_beyond = placed.planned.range - placed.accustomed_range.value_or(0.0);
  const std::string range = placed.accustomed_range
                                ? fmt::format("new range, {} further", angle(range_beyond))
                                : std::string("new range");
  const double load_beyond = placed.planned.load_kg - placed.accustomed_load_kg.value_or(0.0);
  const std::string load =
      load_beyond > 0.0 ? fmt::format("new load at this range, {} more", format_load(load_beyond))
                        : std::string("a load that is not light for a range so new");
  if (placed.new_range && placed.new_load) return range + ", and " + load;
  return placed.new_range ? range : load;
}

std::string sessions(int count) {
  return count == 1 ? "one day" : fmt::format("{} different days", count);
}

std::string counted(int sets, std::string_view what) {
  return fmt::format("{} {} {}", sets, sets == 1 ? "set" : "sets", what);
}

}  // namespace

std::string_view placing_name(Placing placing) {
  switch (placing) {
    case Placing::inside:
      return "inside";
    case Placing::at_edge:
      return "at the edge";
    case Placing::outside:
      return "outside";
    case Placing::nothing_known:
      break;
  }
  return "nothing known";
}

std::string say_placed(const PlacedSet& placed) {
  const std::string planned =
      fmt::format("{} to {}", format_load(placed.planned.load_kg), angle(placed.planned.range));
  switch (placed.placing) {
    case Placing::inside:
      return fmt::format("{}: inside what the client is accustomed to. {}", planned,
                         say_accustomed(placed));
    case Placing::nothing_known:
      return planned +
             ": nothing is known. No set that counts is in the logbook, so begin as with somebody "
             "new: light, and a range that is easy.";
    case Placing::at_edge:
    case Placing::outside:
      break;
  }
  const std::string where = placed.placing == Placing::at_edge ? "at the edge" : "outside";
  const std::string why =
      placed.once ? std::string("handled once, on too few days to be accustomed") : say_new(placed);
  return fmt::format("{}: {} ({}). {}", planned, where, why, say_accustomed(placed));
}

std::string say_step(const PlanStep& step) {
  std::string text =
      fmt::format("{} to {}: new {}", format_load(step.set.load_kg), angle(step.set.range),
                  step.brings == NewThing::range ? "range" : "load");
  if (step.coarse) text += " (one plate is more than 10 %: take more reps before it)";
  return text;
}

std::string say_way(const PlacedSet& placed, const EnvelopeParameters& parameters) {
  if (placed.steps.empty()) return {};
  std::string text = fmt::format(
      "The smallest steps that lead there, one new thing at a time, each on {} without pain "
      "above the limit before the next:",
      sessions(parameters.least_days));
  if (placed.steps_cut) {
    text += fmt::format(" (the first {}; plan again from there)", placed.steps.size());
  }
  return text;
}

std::vector<std::string> say_gaps(const Envelope& envelope) {
  const EnvelopeGaps& gaps = envelope.gaps;
  std::vector<std::string> lines;
  const auto add = [&](int sets, std::string_view what) {
    if (sets > 0) lines.push_back(counted(sets, what));
  };
  add(gaps.load_not_logged, "left out: the load was not logged (0 for body weight)");
  add(gaps.range_not_measured, "left out: too few full reps measured the range");
  add(gaps.with_pain, "left out: pain above the limit was logged");
  add(gaps.pain_not_logged, "counted though pain was not logged: nobody knows whether it hurt");
  add(gaps.too_old,
      fmt::format("longer ago than {:.0f} weeks", envelope.parameters.window_days / 7.0));
  return lines;
}

std::string say_how_loads_count(const EnvelopeParameters& parameters) {
  return fmt::format(
      "A load counts in full for {:.0f} weeks after it was last handled, {:.0f} % less with every "
      "further week, and after {:.0f} weeks not at all; accustomed is what was handled on {} "
      "(common practice).",
      parameters.keep_days / 7.0, parameters.fade_per_week * 100.0, parameters.window_days / 7.0,
      sessions(parameters.least_days));
}

}  // namespace strapline::coaching
