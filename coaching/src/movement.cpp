#include "strapline/coaching/movement.hpp"

#include <algorithm>
#include <array>
#include <numbers>
#include <optional>
#include <set>
#include <utility>

#include "strapline/coaching/measure_catalogue.hpp"

#include "definition_file.hpp"
#include "embedded_movements.hpp"
#include "toml_reader.hpp"

namespace strapline::coaching {
namespace {

constexpr double kRadiansPerDegree = std::numbers::pi / 180.0;

constexpr std::array<std::pair<std::string_view, dsp::RangeAngle>, 7> kRangeAngles{{
    {"thigh_depth", dsp::RangeAngle::thigh_depth},
    {"working_thigh_depth", dsp::RangeAngle::working_thigh_depth},
    {"knee_flexion", dsp::RangeAngle::knee_flexion},
    {"hip_flexion", dsp::RangeAngle::hip_flexion},
    {"elbow_flexion", dsp::RangeAngle::elbow_flexion},
    {"elbow_extension", dsp::RangeAngle::elbow_extension},
    {"strongest_turn", dsp::RangeAngle::strongest_turn},
}};

std::optional<dsp::Segment> segment_from(std::string_view name) {
  for (const dsp::Placement placement : dsp::all_placements()) {
    if (dsp::to_string({placement.segment, dsp::Side::middle}) == name) return placement.segment;
  }
  return std::nullopt;
}

std::string segment_names() {
  std::string names;
  std::set<dsp::Segment> seen;
  for (const dsp::Placement placement : dsp::all_placements()) {
    if (!seen.insert(placement.segment).second) continue;
    names += (names.empty() ? "" : ", ") + dsp::to_string({placement.segment, dsp::Side::middle});
  }
  return names;
}

std::vector<dsp::Segment> read_segments(TableReader& reader, std::string_view key) {
  std::vector<dsp::Segment> segments;
  for (const std::string& name : reader.texts(key)) {
    const auto segment = segment_from(name);
    if (!segment) {
      reader.fault(key, "'" + name + "' is no placement", "use " + segment_names());
    } else {
      segments.push_back(*segment);
    }
  }
  return segments;
}

dsp::RangeAngle read_range_angle(TableReader& reader) {
  const std::string name = reader.text("range_angle");
  std::string known;
  for (const auto& [spelling, angle] : kRangeAngles) {
    if (name == spelling) return angle;
    known += (known.empty() ? "" : ", ") + std::string(spelling);
  }
  reader.fault("range_angle", "'" + name + "' is no range angle", "use one of " + known);
  return {};
}

dsp::FirstPhase read_first_phase(TableReader& reader) {
  const std::string name = reader.text("first_phase");
  if (name == "lowering") return dsp::FirstPhase::lowering;
  if (name == "lifting") return dsp::FirstPhase::lifting;
  reader.fault("first_phase", "'" + name + "' is no phase", "use lowering or lifting");
  return {};
}

double read_least_range(TableReader& reader) {
  const double degrees = reader.number("least_range_deg");
  if (!(degrees > 0.0 && degrees < 180.0)) {
    reader.fault("least_range_deg", "the least range must lie between 0 and 180 degrees");
  }
  return degrees * kRadiansPerDegree;
}

double read_start_trunk(TableReader& reader) {
  const double degrees = reader.number("start_trunk_deg");
  if (!(degrees > 0.0 && degrees < 180.0)) {
    reader.fault("start_trunk_deg", "the trunk's turn must lie between 0 and 180 degrees");
  }
  return degrees * kRadiansPerDegree;
}

std::vector<std::string> read_measures(TableReader& reader) {
  std::vector<std::string> measures = reader.texts("measures");
  if (measures.empty()) reader.fault("measures", "no measure is listed", "list at least range");
  std::set<std::string> seen;
  for (const std::string& name : measures) {
    if (!find_measure(name)) {
      reader.fault("measures", "'" + name + "' is no measure",
                   "use the base names, without a side");
    }
    if (!seen.insert(name).second) reader.fault("measures", "'" + name + "' is listed twice");
  }
  return measures;
}

void read_placements(TableReader& reader, Movement& movement) {
  movement.required = read_segments(reader, "required");
  movement.optional = read_segments(reader, "optional");
  for (const dsp::Segment segment : movement.optional) {
    if (std::count(movement.required.begin(), movement.required.end(), segment) != 0) {
      reader.fault("optional", "'" + dsp::to_string({segment, dsp::Side::middle}) +
                                   "' is both required and optional");
    }
  }
}

void read_wearing(TableReader& reader, Movement& movement) {
  for (const std::string& key : reader.keys()) {
    const std::string words = reader.text(key);
    const auto segment = segment_from(key);
    if (segment) {
      movement.wearing[*segment] = words;
    } else {
      reader.fault(key, "'" + key + "' is no placement", "use " + segment_names());
    }
  }
}

void read_tables(TableReader& root, Movement& movement) {
  if (const toml::table* placements = root.table("placements")) {
    root.inside(*placements, "placements", [&](auto& inner) { read_placements(inner, movement); });
  }
  if (const toml::table* wearing = root.table("wearing")) {
    root.inside(*wearing, "wearing", [&](auto& inner) { read_wearing(inner, movement); });
  }
}

void read_movement(TableReader& root, Movement& movement) {
  movement.name = root.text("name");
  movement.title = root.text("title");
  movement.range_angle = read_range_angle(root);
  movement.first_phase = read_first_phase(root);
  movement.least_range = read_least_range(root);
  movement.measures = read_measures(root);
  if (root.has("velocity_of")) movement.velocity_of = read_segments(root, "velocity_of");
  if (root.has("start_trunk_deg")) movement.start_trunk_turn = read_start_trunk(root);
  movement.start_posture = root.text("start_posture");
  movement.alignment = root.text("alignment");
  movement.cautions = root.texts("cautions");
  if (movement.cautions.empty()) {
    root.fault("cautions", "no caution is listed", "list at least: stop on pain");
  }
  read_tables(root, movement);
}

}  // namespace

std::vector<std::string> built_in_movements() { return built_in_names(movements::file_names()); }

dsp::Result<Movement> parse_movement(std::string_view toml, std::string_view where) {
  Movement movement;
  const auto read =
      read_toml(toml, where, [&](TableReader& root) { read_movement(root, movement); });
  if (!read) return tl::make_unexpected(read.error());
  return movement;
}

dsp::Result<Movement> load_movement(const std::string& name_or_path) {
  const auto text =
      definition_text({"movement", movements::file_names(), movements::text}, name_or_path);
  if (!text) return tl::make_unexpected(text.error());
  return parse_movement(text->toml, text->where);
}

dsp::MovementSpec to_spec(const Movement& movement) {
  return {movement.name,     movement.range_angle, movement.first_phase, movement.required,
          movement.measures, movement.least_range, movement.velocity_of, movement.start_trunk_turn};
}

}  // namespace strapline::coaching
