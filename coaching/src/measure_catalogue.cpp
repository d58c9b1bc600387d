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

constexpr std::array<NamedStatistic, 4> kStatistics{{{"at_turn", "at the turn"},
                                                     {"max", "maximum"},
                                                     {"mean", "mean over the rep"},
                                                     {"peak", "peak"}}};

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
       dsp::Unit::metre_per_second}};
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
  if (!find_measure(name.base)) name.statistic = take_statistic(name.base);
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
  for (const auto& [suffix, words] : kStatistics) {
    if (name->statistic == suffix) title += ", " + std::string(words);
  }
  if (name->side == dsp::Side::left) title += ", left";
  if (name->side == dsp::Side::right) title += ", right";
  return title;
}

bool shown_before(std::string_view full_a, std::string_view full_b) {
  return sort_key(full_a) < sort_key(full_b);
}

}  // namespace strapline::coaching
