#include "strapline/coaching/wording.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <vector>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"

#include "wording_numbers.hpp"

namespace strapline::coaching {
namespace {

constexpr double kDaysPerWeek = 7.0;

int decimals(dsp::Unit unit) {
  return unit == dsp::Unit::second || unit == dsp::Unit::metre_per_second ? 2 : 1;
}

std::string number(double si, dsp::Unit unit) {
  const double shown = si * dsp::display_factor(unit);
  std::string text = fmt::format("{:.{}f}", shown, decimals(unit));
  // "-0.0" is a rounding, not a direction.
  if (text.find_first_not_of("-0.") == std::string::npos)
    return fmt::format("{:.{}f}", 0.0, decimals(unit));
  return text;
}

std::string count(int n, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string joined(const std::vector<std::string>& parts, std::string_view between) {
  return fmt::format("{}", fmt::join(parts, between));
}

/// "60 kg" or "60–70 kg": the different texts among the sets, in order, joined.
template <class Text>
std::string spread(const Comparison& comparison, const std::vector<std::size_t>& sets, Text text) {
  std::vector<std::string> different;
  for (const std::size_t index : sets) {
    const std::string of_set = text(comparison.sets[index]);
    if (std::find(different.begin(), different.end(), of_set) == different.end()) {
      different.push_back(of_set);
    }
  }
  return joined(different, " / ");
}

std::string say_further_sets(const MeasureFinding& finding) {
  const Change& change = *finding.change;
  if (change.further_sets) {
    return fmt::format(
        "If the difference stays as it is, {} like the latest, with the straps put on anew each "
        "time, would settle it.",
        count(*change.further_sets, "more set", "more sets"));
  }
  if (!finding.smallest_that_matters) {
    return "More sets alone would not settle a difference this small; naming the smallest "
           "difference that matters would allow for 'unchanged'.";
  }
  return "More sets of the latest kind alone would not settle a difference this small.";
}

std::string say_reason(const MeasureFinding& finding) {
  const Change& change = *finding.change;
  const std::string mdc = format_value(change.mdc95, finding.unit);
  switch (change.verdict) {
    case Verdict::changed: {
      std::string text = fmt::format("more than the {} that measuring again can differ by.", mdc);
      if (change.smaller_than_matters) {
        text += fmt::format(" Even so less than the {} that was said to matter.",
                            format_value(*finding.smallest_that_matters, finding.unit));
      }
      return text;
    }
    case Verdict::unchanged:
      return fmt::format(
          "any difference lies within {} to {}, inside the ±{} that was said to matter.",
          format_difference(change.low, finding.unit), format_difference(change.high, finding.unit),
          format_value(*finding.smallest_that_matters, finding.unit));
    case Verdict::cannot_tell:
      break;
  }
  return fmt::format("measuring again can differ by {}. {}", mdc, say_further_sets(finding));
}

std::string say_differing(const ComparedSet& set, const ComparedSet& latest, Unlike what) {
  const auto pair = [](std::string_view name, const std::string& a, const std::string& b) {
    const auto quoted = [](const std::string& text) {
      return text.empty() ? "none" : "'" + text + "'";
    };
    return fmt::format("{} {} instead of {}", name, quoted(a), quoted(b));
  };
  switch (what) {
    case Unlike::movement:
      return pair("movement", set.movement, latest.movement);
    case Unlike::variation:
      return pair("variation", set.variation, latest.variation);
    case Unlike::kit:
      break;
  }
  return pair("kit", set.kit, latest.kit);
}

}  // namespace

std::string plain_number(double value) {
  return fmt::format("{:g}", std::round(value * 100.0) / 100.0);
}

std::string kilograms(double kg) { return plain_number(kg) + " kg"; }

std::string unit_symbol(dsp::Unit unit) {
  const std::string name = dsp::display_unit(unit);
  if (name == "deg") return "°";
  return name.empty() ? name : " " + name;
}

std::string format_value(double si, dsp::Unit unit) { return number(si, unit) + unit_symbol(unit); }

std::string format_difference(double si, dsp::Unit unit) {
  const std::string text = format_value(si, unit);
  return text.starts_with('-') ? text : "+" + text;
}

std::string format_measured(const dsp::MeasuredValue& measured) {
  return fmt::format("{} ± {}", number(measured.value, measured.unit),
                     format_value(measured.u, measured.unit));
}

std::string format_load(std::optional<double> load_kg) {
  if (!load_kg) return "load not logged";
  return *load_kg == 0.0 ? "body weight" : plain_number(*load_kg) + " kg";
}

std::string format_effort(std::optional<double> rpe, std::optional<double> reserve) {
  if (rpe) return "RPE " + plain_number(*rpe);
  if (reserve) return plain_number(*reserve) + " in reserve";
  return "effort not logged";
}

std::string format_pain(std::optional<double> pain, std::string_view place) {
  if (!pain) return "pain not logged";
  if (*pain == 0.0) return "no pain";
  return fmt::format("pain {}/10{}{}", plain_number(*pain), place.empty() ? "" : ", ", place);
}

std::string verdict_name(Verdict verdict) {
  switch (verdict) {
    case Verdict::changed:
      return "changed";
    case Verdict::unchanged:
      return "unchanged";
    case Verdict::cannot_tell:
      break;
  }
  return "cannot tell yet";
}

std::string say_change(const MeasureFinding& finding) {
  if (!finding.change) {
    return finding.values.size() < 2 ? "One set so far: nothing to compare it with."
                                     : "The latest set did not measure it.";
  }
  return fmt::format("{} → {} ({}): {}; {}",
                     format_value(finding.baseline->mean.value, finding.unit),
                     format_value(finding.latest->mean.value, finding.unit),
                     format_difference(finding.change->difference, finding.unit),
                     verdict_name(finding.change->verdict), say_reason(finding));
}

std::string say_error(const MeasureFinding& finding) {
  const std::string sem = format_value(finding.error.sem, finding.unit);
  if (finding.error.source == ErrorSource::own_repeats) {
    return fmt::format(
        "Error of one set {}: from this client's own repeated sets ({} degrees of freedom).", sem,
        plain_number(finding.error.degrees_of_freedom));
  }
  return fmt::format(
      "Error of one set {}: from the stated uncertainties and a default for putting the straps on "
      "anew, itself uncertain, until enough repeated sets are there.",
      sem);
}

std::string say_trend(const MeasureFinding& finding) {
  if (!finding.trend) return {};
  const Trend& trend = *finding.trend;
  const auto per_week = [&](double per_day) {
    return format_difference(per_day * kDaysPerWeek, finding.unit);
  };
  const bool one_direction = trend.per_day.low > 0.0 || trend.per_day.high < 0.0;
  return fmt::format("{} a week over {} sets on {} days (95 %: {} to {}){}; load {} → {}.",
                     per_week(trend.per_day.slope), trend.sets, trend.days,
                     per_week(trend.per_day.low), per_week(trend.per_day.high),
                     one_direction ? "" : ", which may be no trend at all",
                     format_load(trend.first_load_kg), format_load(trend.last_load_kg));
}

std::string say_direction(const Trend& trend) {
  if (trend.per_day.low > 0.0) return "rising";
  return trend.per_day.high < 0.0 ? "falling" : "may be none";
}

std::string say_side(const Comparison& comparison, const ComparedSide& side) {
  const auto of = [&](auto text) { return spread(comparison, side.sets, text); };
  std::vector<std::string> dates;
  for (const std::size_t index : side.sets) {
    const std::string date = date_from_days(comparison.day[index]);
    if (dates.empty() || dates.back() != date) dates.push_back(date);
  }
  const auto reps = [](const ComparedSet& set) { return std::to_string(set.full_reps); };
  const auto load = [](const ComparedSet& set) { return format_load(set.load_kg); };
  const auto effort = [](const ComparedSet& set) {
    return format_effort(set.effort_rpe, set.reps_in_reserve);
  };
  return fmt::format("{}, {}, {} reps, {}", joined(dates, " / "), of(load), of(reps), of(effort));
}

std::string say_left_out(const Comparison& comparison, const LeftOutSet& left_out) {
  const ComparedSet& set = comparison.sets[left_out.set];
  std::vector<std::string> reasons;
  for (const Unlike what : left_out.differs_in) {
    reasons.push_back(say_differing(set, comparison.sets.back(), what));
  }
  return fmt::format("{} ({}) is shown but not compared: {}.", set.name,
                     date_from_days(comparison.day[left_out.set]), joined(reasons, ", "));
}

std::string say_missing(const MissingMeasure& missing) {
  return fmt::format("{}: not measured{}{}", measure_title(missing.measure),
                     missing.reason.empty() ? " in the latest set" : ", ", missing.reason);
}

std::string say_chance(const Comparison& comparison) {
  const auto judged = std::count_if(comparison.findings.begin(), comparison.findings.end(),
                                    [](const MeasureFinding& f) { return f.change.has_value(); });
  if (judged == 0) return {};
  return fmt::format(
      "Each is judged at 95 %: of {} measures that did not change at all, chance alone would call "
      "about {:.1f} changed.",
      judged, 0.05 * static_cast<double>(judged));
}

std::string_view how_to_read_changes() {
  return "Noise, 95 % (MDC95): what measuring again can differ by without any change. Changed: the "
         "difference is more than that. Unchanged: whatever the difference is, it is smaller than "
         "what was said to matter. More sets: so many like the latest, with the straps put on anew "
         "each time, would settle it if the difference stays as it is.";
}

std::string_view how_to_read_u() {
  return "± is one standard uncertainty: about two times in three the true value lies inside it, "
         "and about nineteen times in twenty inside twice as much.";
}

std::string_view thigh_depth_note() {
  return "0° is the line from hip centre to knee centre at horizontal. Competition rules judge the "
         "crease of the hip against the top of the knee, which is not the same: this number does "
         "not decide a lift.";
}

std::string say_pain(std::optional<double> pain, double limit) {
  if (!pain || *pain <= 0.0) return {};
  if (*pain <= limit) {
    return fmt::format(
        "Pain {}/10 was logged, within the limit of {} that was agreed. Stop where it rises.",
        plain_number(*pain), plain_number(limit));
  }
  return "Pain was logged: stop on pain, and see a licensed professional before going on.";
}

}  // namespace strapline::coaching
