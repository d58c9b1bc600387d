#include "session_notes.hpp"

#include <array>
#include <utility>

#include <nlohmann/json.hpp>

namespace strapline::cli {
namespace {

using nlohmann::json;

constexpr const char* kFormat = "strapline-session";

template <class Type, class Field>
using Member = std::pair<const char*, Field Type::*>;

using recordings::SetDescription;

constexpr std::array<Member<SetDescription, std::string>, 7> kTexts{
    {{"client", &SetDescription::client},
     {"movement", &SetDescription::movement},
     {"variation", &SetDescription::variation},
     {"kit", &SetDescription::kit},
     {"started_utc", &SetDescription::started_utc},
     {"pain_place", &SetDescription::pain_place},
     {"notes", &SetDescription::notes}}};
constexpr std::array<Member<SetDescription, std::optional<double>>, 4> kNumbers{
    {{"load_kg", &SetDescription::load_kg},
     {"effort_rpe", &SetDescription::effort_rpe},
     {"reps_in_reserve", &SetDescription::reps_in_reserve},
     {"pain_0_to_10", &SetDescription::pain}}};
constexpr std::array<Member<dsp::BodyDimensions, std::optional<double>>, 13> kLengths{
    {{"height_m", &dsp::BodyDimensions::height},
     {"thigh_m", &dsp::BodyDimensions::thigh},
     {"shank_m", &dsp::BodyDimensions::shank},
     {"foot_m", &dsp::BodyDimensions::foot},
     {"upper_arm_m", &dsp::BodyDimensions::upper_arm},
     {"forearm_m", &dsp::BodyDimensions::forearm},
     {"soft_tissue_thigh_rad", &dsp::BodyDimensions::soft_tissue_thigh},
     {"soft_tissue_limb_rad", &dsp::BodyDimensions::soft_tissue_limb},
     {"standing_lean_rad", &dsp::BodyDimensions::standing_lean},
     {"toe_line_rad", &dsp::BodyDimensions::toe_line},
     {"hinge_square_rad", &dsp::BodyDimensions::hinge_square},
     {"raise_plane_rad", &dsp::BodyDimensions::raise_plane},
     {"bow_plane_rad", &dsp::BodyDimensions::bow_plane}}};
constexpr std::array<Member<dsp::RecordingParts, std::optional<dsp::Interval>>, 4> kParts{
    {{"still_s", &dsp::RecordingParts::still},
     {"align_s", &dsp::RecordingParts::align},
     {"set_s", &dsp::RecordingParts::set},
     {"still_after_s", &dsp::RecordingParts::still_after}}};

template <class Type, std::size_t n>
void put_numbers(json& object, const Type& from,
                 const std::array<Member<Type, std::optional<double>>, n>& members) {
  for (const auto& [name, member] : members) {
    if (from.*member) object[name] = *(from.*member);
  }
}

template <class Type, std::size_t n>
void take_numbers(const json& object, Type& into,
                  const std::array<Member<Type, std::optional<double>>, n>& members) {
  for (const auto& [name, member] : members) {
    if (object.contains(name)) into.*member = object.at(name).template get<double>();
  }
}

SessionNotes take(const json& object) {
  SessionNotes notes;
  for (const auto& [name, member] : kTexts) {
    if (object.contains(name)) notes.description.*member = object.at(name).get<std::string>();
  }
  take_numbers(object, notes.description, kNumbers);
  take_numbers(object, notes.body, kLengths);
  for (const auto& [name, member] : kParts) {
    if (!object.contains(name)) continue;
    notes.parts.*
        member = {object.at(name).at(0).get<double>(), object.at(name).at(1).get<double>()};
  }
  return notes;
}

}  // namespace

std::string to_json(const SessionNotes& notes) {
  json object = {{"format", kFormat}, {"version", 1}};
  for (const auto& [name, member] : kTexts) {
    if (!(notes.description.*member).empty()) object[name] = notes.description.*member;
  }
  put_numbers(object, notes.description, kNumbers);
  put_numbers(object, notes.body, kLengths);
  for (const auto& [name, member] : kParts) {
    if (const auto& part = notes.parts.*member) object[name] = {part->from_s, part->to_s};
  }
  // Bytes that are no UTF-8 come from the command line; better replaced than the set refused.
  return object.dump(-1, ' ', false, json::error_handler_t::replace);
}

dsp::Result<SessionNotes> notes_from_json(const std::string& text) {
  try {
    const json object = json::parse(text);
    if (object.at("format") == kFormat) return take(object);
  } catch (const json::exception&) {
    // said below
  }
  return dsp::fail("does not say whose set it is");
}

}  // namespace strapline::cli
