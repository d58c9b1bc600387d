#include "set_options.hpp"

#include "option_range.hpp"

namespace strapline::cli {
namespace {

/// `set`: whatever keeps effort and pain, logged or to be noted.
template <class Set>
void add_effort_options(CLI::App& command, Set& set) {
  command.add_option("--rpe,--effort", set.effort_rpe, "Rating of perceived exertion, 1 to 10")
      ->type_name("RPE");
  command.add_option("--rir", set.reps_in_reserve, "Reps in reserve")->type_name("REPS");
  command.add_option("--pain", set.pain, "Pain during the set, 0 to 10")->type_name("0-10");
  command.add_option("--pain-place", set.pain_place, "Where it hurt")->type_name("TEXT");
}

template <class Set>
void add_load_option(CLI::App& command, Set& set) {
  command.add_option("--load", set.load_kg, "Load in kg, 0 for body weight")->type_name("KG");
}

template <class Set>
void add_notes_option(CLI::App& command, Set& set) {
  command.add_option("--notes", set.notes, "Notes")->type_name("TEXT");
}

dsp::Result<void> forget(const std::string& name, recordings::SetDescription& set) {
  if (name == "load") {
    set.load_kg.reset();
  } else if (name == "rpe") {
    set.effort_rpe.reset();
  } else if (name == "rir") {
    set.reps_in_reserve.reset();
  } else if (name == "pain") {
    set.pain.reset();
    set.pain_place.clear();
  } else if (name == "notes") {
    set.notes.clear();
  } else {
    return dsp::fail("\"" + name + "\" is nothing that is noted", "--forget",
                     "use load, rpe, rir, pain or notes");
  }
  return {};
}

}  // namespace

void add_set_options(CLI::App& command, recordings::SetDescription& set) {
  command.add_option("--client", set.client, "Client, by role or name")->type_name("NAME");
  command
      .add_option("--variation", set.variation, "Variation of the movement, e.g. \"heels raised\"")
      ->type_name("TEXT");
  command.add_option("--kit", set.kit, "Which sensors, worn how: like is compared with like")
      ->type_name("TEXT");
  command
      .add_option("--date", set.started_utc,
                  "When the set began, UTC: 2026-11-25T08:00:00Z, or the date alone for midnight")
      ->type_name("TIME");
  add_load_option(command, set);
  add_effort_options(command, set);
  add_notes_option(command, set);
}

bool SetNotes::is_empty() const {
  return !load_kg && !effort_rpe && !reps_in_reserve && !pain && !pain_place && !notes &&
         forget.empty();
}

void add_note_options(CLI::App& command, SetNotes& notes) {
  add_load_option(command, notes);
  add_effort_options(command, notes);
  add_notes_option(command, notes);
  command
      .add_option("--forget", notes.forget, "Not logged after all: load, rpe, rir, pain or notes")
      ->type_name("NAME");
}

dsp::Result<void> take(const SetNotes& notes, recordings::SetDescription& set) {
  for (const std::string& name : notes.forget) {
    if (auto forgotten = forget(name, set); !forgotten) return forgotten;
  }
  if (notes.load_kg) set.load_kg = notes.load_kg;
  if (notes.effort_rpe) set.effort_rpe = notes.effort_rpe;
  if (notes.reps_in_reserve) set.reps_in_reserve = notes.reps_in_reserve;
  if (notes.pain) set.pain = notes.pain;
  if (notes.pain_place) set.pain_place = *notes.pain_place;
  if (notes.notes) set.notes = *notes.notes;
  return {};
}

void add_body_options(CLI::App& command, dsp::BodyDimensions& body) {
  const auto add = [&](const char* name, std::optional<double>& length, const char* what) {
    command.add_option(name, length, std::string(what) + ", m")->type_name("M");
  };
  add("--height", body.height, "Body height; lengths not given follow from it");
  add("--thigh", body.thigh, "Hip centre to knee centre");
  add("--shank", body.shank, "Knee centre to ankle centre");
  add("--foot", body.foot, "Heel to toe tip");
  add("--upper-arm", body.upper_arm, "Shoulder centre to elbow centre");
  add("--forearm", body.forearm, "Elbow centre to wrist centre");
  const auto add_turn = [&](const char* name, std::optional<double>& turn, const char* what) {
    constexpr double kRadiansPerDegree = 0.017453292519943295;
    constexpr double kMostDegrees = 28.0;  // a recording holds at most 0.5 rad
    command
        .add_option_function<double>(
            name, [&turn](double degrees) { turn = degrees * kRadiansPerDegree; },
            std::string(what) + ", 1 sigma, degrees")
        ->check(between(0.0, kMostDegrees))
        ->type_name("DEG");
  };
  add_turn("--soft-tissue-thigh", body.soft_tissue_thigh,
           "How far soft tissue turns a strap on thigh or upper arm at full flexion (usual: 2)");
  add_turn("--soft-tissue-limb", body.soft_tissue_limb, "Same on the other segments (usual: 1)");
  add_turn(
      "--standing-lean", body.standing_lean,
      "How far from plumb each segment stands in the still part (usual: 1.5; less along a wall)");
  add_turn("--toe-line", body.toe_line,
           "How far off the toe line the easy bends lead the knee (usual: 2.5)");
  add_turn("--hinge-square", body.hinge_square,
           "How far from square the axes of knee and elbow are to the bones (usual: 1.5; more for "
           "a client who is visibly bow-legged or knock-kneed)");
  add_turn("--raise-plane", body.raise_plane,
           "How far off the frontal plane the arms are raised to the side (usual: 2; less along a "
           "wall)");
  add_turn("--bow-plane", body.bow_plane,
           "How far to a side of straight ahead the bow goes (usual: 1.5)");
}

std::string full_time(const std::string& date) {
  constexpr std::size_t kDateLength = 10;  // "2026-11-25"
  return date.size() == kDateLength ? date + "T00:00:00Z" : date;
}

}  // namespace strapline::cli
