#include "strapline/coaching/measure_catalogue.hpp"

#include <algorithm>
#include <array>
#include <tuple>

namespace strapline::coaching {
namespace {

struct NamedStatistic {
  std::string_view suffix;
  std::string_view title;
};

// One that ends like another comes first.
constexpr std::array<NamedStatistic, 7> kStatistics{{{"at_turn", "at the turn"},
                                                     {"max", "maximum"},
                                                     {"mean", "mean over the rep"},
                                                     {"peak", "peak"},
                                                     {"difference", "left less right"},
                                                     {"curve_sd", "spread of the curve"},
                                                     {"sd", "spread from rep to rep"}}};

bool take_suffix(std::string& name, std::string_view suffix) {
  if (name.size() <= suffix.size() + 1 || !name.ends_with(suffix)) return false;
  if (name[name.size() - suffix.size() - 1] != '_') return false;
  name.resize(name.size() - suffix.size() - 1);
  return true;
}

dsp::Side take_side(std::string& name) {
  if (take_suffix(name, "left")) return dsp::Side::left;
  if (take_suffix(name, "right")) return dsp::Side::right;
  return dsp::Side::middle;
}

std::string take_statistic(std::string& name) {
  for (const auto& [suffix, title] : kStatistics) {
    if (take_suffix(name, suffix)) return std::string(suffix);
  }
  return {};
}

/// Takes statistics off the end until a known base is left: "at_turn", "at_turn_difference".
std::string take_statistics(std::string& name) {
  std::string taken;
  while (!find_measure(name)) {
    const std::string last = take_statistic(name);
    if (last.empty()) break;
    taken = taken.empty() ? last : last + "_" + taken;
  }
  return taken;
}

/// "at the turn, left less right".
std::string statistics_title(std::string statistic) {
  std::string title;
  while (!statistic.empty()) {
    for (const auto& [suffix, words] : kStatistics) {
      const bool last = statistic == suffix;
      if (!last && !take_suffix(statistic, suffix)) continue;
      title = ", " + std::string(words) + title;
      if (last) statistic.clear();
      break;
    }
  }
  return title;
}

std::size_t catalogue_index(std::string_view base) {
  const auto& all = all_measures();
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const auto& m) { return m.name == base; });
  return static_cast<std::size_t>(found - all.begin());
}

auto sort_key(std::string_view full) {
  const auto parsed = parse_measure_name(full).value_or(MeasureName{std::string(full), "", {}});
  return std::make_tuple(catalogue_index(parsed.base), parsed.base, parsed.statistic, parsed.side);
}

}  // namespace

const std::vector<MeasureInfo>& all_measures() {
  static const std::vector<MeasureInfo> all{
      {"thigh_depth", "thigh depth", "maximum", "0° with the thigh horizontal, positive below"},
      {"knee_flexion", "knee flexion", "maximum", "0° straight, positive flexed"},
      {"hip_flexion", "hip flexion", "maximum", "0° standing, positive flexed"},
      {"ankle_flexion", "ankle flexion", "maximum", "0° standing, shin towards the toes positive"},
      {"trunk_lean", "trunk lean", "at the turn", "positive forwards"},
      {"trunk_side_lean", "trunk side lean", "largest in size", "positive to the right"},
      {"back_rounding", "back rounding", "maximum", "0° standing, positive rounded"},
      {"knee_line_distance", "knee line (distance)", "most inward",
       "positive inwards, towards the other leg", dsp::Unit::metre},
      {"knee_line_angle", "knee line (angle)", "most inward", "0° in line, positive inwards"},
      {"knee_travel", "knee travel", "maximum", "positive past the toes", dsp::Unit::metre},
      {"elbow_flexion", "elbow flexion", "maximum", "0° straight, positive flexed"},
      {"elbow_flare", "elbow flare", "at the turn", "0° by the sides, 90° straight out"},
      {"elbow_plane", "elbow plane", "at the turn", "positive in front of the trunk"},
      {"forearm_tilt", "forearm tilt", "at the turn", "0° vertical"},
      {"body_line", "body line", "mean over the rep",
       "0° straight, positive piked, negative arched"},
      {"range", "range", "top minus bottom", "of the movement's own angle"},
      {"lowering_s", "lowering", "duration", "", dsp::Unit::second},
      {"bottom_hold_s", "bottom hold", "duration", "", dsp::Unit::second},
      {"lifting_s", "lifting", "duration", "", dsp::Unit::second},
      {"top_hold_s", "top hold", "duration", "", dsp::Unit::second},
      {"time_under_tension_s", "time under tension", "duration", "", dsp::Unit::second},
      {"concentric_velocity", "concentric velocity", "mean while lifting", "positive upwards",
       dsp::Unit::metre_per_second},
      {"velocity_loss", "velocity loss", "of the set", "share of the fastest rep's",
       dsp::Unit::one}};
  return all;
}

std::optional<MeasureInfo> find_measure(std::string_view base) {
  const std::size_t index = catalogue_index(base);
  if (index == all_measures().size()) return std::nullopt;
  return all_measures()[index];
}

std::optional<MeasureName> parse_measure_name(std::string_view full) {
  MeasureName name{std::string(full), "", dsp::Side::middle};
  name.side = take_side(name.base);
  name.statistic = take_statistics(name.base);
  if (!find_measure(name.base)) return std::nullopt;
  return name;
}

std::optional<dsp::Unit> measure_unit(std::string_view name) {
  const auto parsed = parse_measure_name(name);
  if (!parsed) return std::nullopt;
  return find_measure(parsed->base)->unit;
}

std::string measure_title(std::string_view full) {
  const auto name = parse_measure_name(full);
  if (!name) return std::string(full);
  std::string title(find_measure(name->base)->title);
  title += statistics_title(name->statistic);
  if (name->side == dsp::Side::left) title += ", left";
  if (name->side == dsp::Side::right) title += ", right";
  return title;
}

bool shown_before(std::string_view full_a, std::string_view full_b) {
  return sort_key(full_a) < sort_key(full_b);
}

}  // namespace strapline::coaching
