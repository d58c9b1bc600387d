#include <fmt/format.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_judgement.hpp"

#include "wording_numbers.hpp"

namespace strapline::coaching {
namespace {

/// The measure's title at the beginning of a sentence.
std::string subject(const Caution& caution) {
  std::string title = measure_title(caution.measure);
  if (title[0] >= 'a' && title[0] <= 'z') title[0] = static_cast<char>(title[0] - 'a' + 'A');
  return title;
}

std::string say_pain_above(const Caution& caution) {
  const std::string limit = caution.from == 0.0
                                ? std::string("any pain stops the set")
                                : "agreed is to stop above " + plain_number(caution.from);
  return fmt::format(
      "Pain {}/10 was logged, and {}. Stop here; see a licensed professional before going on.",
      plain_number(caution.to), limit);
}

std::string say_range_beyond(const Caution& caution, std::string_view rep_label) {
  return fmt::format("{} reached {} in rep {}; the limit agreed is {}.", subject(caution),
                     format_value(caution.to, caution.unit), rep_label,
                     format_value(caution.from, caution.unit));
}

std::string say_new_at_both(const Caution& caution) {
  std::string text = "New load and new range in one set";
  if (caution.accustomed->accustomed_load_kg) {
    text += fmt::format("; accustomed at this range is {}",
                        kilograms(*caution.accustomed->accustomed_load_kg));
  }
  return text + ". One new thing at a time: the range first, with less load.";
}

std::string say_jump(const Caution& caution) {
  const bool load = caution.kind == CautionKind::jump_in_load;
  std::string text = load ? "A jump in load" : "A jump in range";
  if (load && caution.accustomed->accustomed_load_kg) {
    text += fmt::format(": accustomed at this range is {}",
                        kilograms(*caution.accustomed->accustomed_load_kg));
  }
  if (!load && caution.accustomed->accustomed_range) {
    text += ": accustomed is up to " +
            format_value(*caution.accustomed->accustomed_range, dsp::Unit::radian);
  }
  return text + ". Smaller steps lead there without it: strapline plan lays them out.";
}

std::string say_knee_over_reps(const Caution& caution) {
  return fmt::format(
      "{} went inwards over the reps, from {} to {}. End the set earlier, or take less load, and "
      "look again.",
      subject(caution), format_value(caution.from, caution.unit),
      format_value(caution.to, caution.unit));
}

std::string say_knee_over_loads(const Caution& caution) {
  return fmt::format(
      "{} goes further inwards with the load: {} at {}, {} at {}, over {} sets. Hold the load "
      "until "
      "it stays in line.",
      subject(caution), format_value(caution.from, caution.unit), kilograms(*caution.from_kg),
      format_value(caution.to, caution.unit), kilograms(*caution.to_kg), caution.sets);
}

std::string say_loss(const Caution& caution, std::string_view rep_label) {
  const std::string which = rep_label == "part" ? "a part rep" : "rep " + std::string(rep_label);
  return fmt::format(
      "{} fell suddenly, from {} in the reps before to {} in {}. If that was not meant, ask what "
      "happened there.",
      subject(caution), format_value(caution.from, caution.unit),
      format_value(caution.to, caution.unit), which);
}

}  // namespace

std::string_view caution_name(CautionKind kind) {
  switch (kind) {
    case CautionKind::pain_above_limit:
      return "pain_above_limit";
    case CautionKind::load_above_agreed:
      return "load_above_agreed";
    case CautionKind::range_beyond_agreed:
      return "range_beyond_agreed";
    case CautionKind::new_load_at_new_range:
      return "new_load_at_new_range";
    case CautionKind::jump_in_load:
      return "jump_in_load";
    case CautionKind::jump_in_range:
      return "jump_in_range";
    case CautionKind::knee_line_with_fatigue:
      return "knee_line_with_fatigue";
    case CautionKind::knee_line_with_load:
      return "knee_line_with_load";
    case CautionKind::sudden_loss_of_range:
      return "sudden_loss_of_range";
    case CautionKind::sudden_loss_of_velocity:
      break;
  }
  return "sudden_loss_of_velocity";
}

std::string_view caution_title(CautionKind kind) {
  switch (kind) {
    case CautionKind::pain_above_limit:
      return "pain above the limit";
    case CautionKind::load_above_agreed:
      return "load above what was agreed";
    case CautionKind::range_beyond_agreed:
      return "range beyond what was agreed";
    case CautionKind::new_load_at_new_range:
      return "new load at new range";
    case CautionKind::jump_in_load:
      return "jump in load";
    case CautionKind::jump_in_range:
      return "jump in range";
    case CautionKind::knee_line_with_fatigue:
      return "knee line inward over the reps";
    case CautionKind::knee_line_with_load:
      return "knee line inward with the load";
    case CautionKind::sudden_loss_of_range:
      return "sudden loss of range";
    case CautionKind::sudden_loss_of_velocity:
      break;
  }
  return "sudden loss of velocity";
}

std::string say_caution(const Caution& caution, std::string_view rep_label) {
  switch (caution.kind) {
    case CautionKind::pain_above_limit:
      return say_pain_above(caution);
    case CautionKind::load_above_agreed:
      return fmt::format("The load was {}; the greatest agreed for this movement is {}.",
                         kilograms(caution.to), kilograms(caution.from));
    case CautionKind::range_beyond_agreed:
      return say_range_beyond(caution, rep_label);
    case CautionKind::new_load_at_new_range:
      return say_new_at_both(caution);
    case CautionKind::jump_in_load:
    case CautionKind::jump_in_range:
      return say_jump(caution);
    case CautionKind::knee_line_with_fatigue:
      return say_knee_over_reps(caution);
    case CautionKind::knee_line_with_load:
      return say_knee_over_loads(caution);
    case CautionKind::sudden_loss_of_range:
    case CautionKind::sudden_loss_of_velocity:
      break;
  }
  return say_loss(caution, rep_label);
}

}  // namespace strapline::coaching
