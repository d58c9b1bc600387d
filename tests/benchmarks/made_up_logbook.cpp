#include "made_up_logbook.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <random>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/client.hpp"

namespace strapline::benchmarks {
namespace {

using dsp::Unit;
using recordings::LoggedSet;

constexpr int kReps = 5;
constexpr int kSetsADay = 3;
constexpr int kSetsWithReps = 1000;

/// A measure, its usual value, and how it varies: from wearing to wearing and from rep to rep.
struct Usual {
  const char* name;
  Unit unit;
  double value, wearing_sd, rep_sd, u;
};

constexpr double kDegree = 0.017453292519943295;

constexpr Usual angle(const char* name, double degrees) {
  return {name, Unit::radian, degrees * kDegree, 2.5 * kDegree, 1.5 * kDegree, 1.5 * kDegree};
}

constexpr Usual duration(const char* name, double seconds) {
  return {name, Unit::second, seconds, 0.05, 0.1, 0.02};
}

constexpr Usual distance(const char* name, double metres) {
  return {name, Unit::metre, metres, 0.01, 0.005, 0.008};
}

constexpr std::array kUsual{
    angle("thigh_depth_left", 95),
    angle("thigh_depth_right", 96),
    angle("knee_flexion_left", 115),
    angle("knee_flexion_right", 117),
    angle("knee_flexion_at_turn_left", 112),
    angle("knee_flexion_at_turn_right", 114),
    angle("hip_flexion_left", 105),
    angle("hip_flexion_right", 104),
    angle("hip_flexion_at_turn_left", 103),
    angle("hip_flexion_at_turn_right", 102),
    angle("trunk_lean", 38),
    angle("trunk_lean_at_turn", 35),
    angle("trunk_side_lean", 2),
    angle("back_rounding", 12),
    angle("knee_line_angle_left", 4),
    angle("knee_line_angle_right", 3),
    angle("knee_line_angle_at_turn_left", 3),
    angle("knee_line_angle_at_turn_right", 2),
    angle("range", 93),
    distance("knee_line_distance_left", 0.015),
    distance("knee_line_distance_right", 0.012),
    distance("knee_travel_left", 0.04),
    distance("knee_travel_right", 0.038),
    duration("lowering_s", 1.6),
    duration("bottom_hold_s", 0.3),
    duration("lifting_s", 1.1),
    duration("top_hold_s", 0.8),
    duration("time_under_tension_s", 3.0),
    Usual{"concentric_velocity", Unit::metre_per_second, 0.55, 0.03, 0.03, 0.02},
};

/// A measure that this client's straps do not give.
constexpr const char* kAbsent = "concentric_velocity_max";
constexpr const char* kWhyAbsent = "needs a strap on the bar, the pelvis or the chest";

using Random = std::mt19937;

double normal(Random& random) { return std::normal_distribution<double>()(random); }

using Wearing = std::array<double, kUsual.size()>;  // what the straps' seat adds to each measure

Wearing strap_on(Random& random) {
  Wearing offset{};
  for (std::size_t i = 0; i < kUsual.size(); ++i) offset[i] = kUsual[i].wearing_sd * normal(random);
  return offset;
}

dsp::Rep rep_of(int number, const Wearing& wearing, Random& random) {
  dsp::Rep rep;
  rep.start_s = 4.0 * number;
  rep.turn_in_s = rep.start_s + 1.6;
  rep.turn_out_s = rep.start_s + 1.9;
  rep.end_s = rep.start_s + 3.0;
  for (std::size_t i = 0; i < kUsual.size(); ++i) {
    const Usual& usual = kUsual[i];
    const double value = usual.value + wearing[i] + usual.rep_sd * normal(random);
    rep.measures[usual.name] = dsp::MeasuredValue{value, usual.u, usual.unit};
  }
  rep.measures[kAbsent] = dsp::NotMeasured{kWhyAbsent};
  return rep;
}

std::string date_of(int day) {
  return coaching::date_from_days(*coaching::days_from_utc("2001-01-01") + day);
}

recordings::SetDescription description_of(const std::string& client, int day, int set_of_day) {
  recordings::SetDescription said;
  said.client = client;
  said.movement = "squat";
  said.variation = "parallel";
  said.kit = "7 straps";
  said.started_utc = fmt::format("{}T08:{:02}:00Z", date_of(day), 10 * set_of_day);
  said.load_kg = 40.0 + 2.5 * (day % 28 / 7);
  said.effort_rpe = 6.0 + set_of_day;
  said.reps_in_reserve = 4.0 - set_of_day;
  said.pain = 0.0;
  if (day % 10 == 0) said.notes = "carried a stretcher the day before";
  return said;
}

LoggedSet set_of(int number, const recordings::SetDescription& said, const Wearing& wearing,
                 Random& random) {
  LoggedSet set;
  set.set_id = fmt::format("{:08x}{:08x}", random(), static_cast<unsigned>(number));
  set.file = said.started_utc.substr(0, 16) + "-squat.h5";
  set.source = "live";
  set.algorithm = "squat 0.1";
  set.description = said;
  for (int rep = 0; rep < kReps; ++rep) set.reps.push_back(rep_of(rep, wearing, random));
  set.full_reps = kReps;
  set.measures = recordings::summarise(set.reps);
  return set;
}

std::filesystem::path data_folder() {
  const char* named = std::getenv("STRAPLINE_BENCHMARK_DATA");
  if (named != nullptr && *named != '\0') return named;
  return std::filesystem::temp_directory_path() / "strapline-benchmark-data";
}

std::string folder_name(int number) { return fmt::format("client-{:03}", number); }

constexpr const char* kLogbook = "logbook.h5";

coaching::Client client_of(int number) {
  coaching::Client client;
  client.name = made_up_client(number);
  client.ladder_steps["squat"] = "parallel_loaded";
  return client;
}

/// Client file and logbook, where they are not there yet.
void make(const std::filesystem::path& clients, int number, int sets) {
  const auto folder = clients / folder_name(number);
  std::error_code error;
  if (std::filesystem::exists(folder / kLogbook, error)) return;
  std::filesystem::create_directories(folder, error);
  std::ofstream(folder / "client.toml") << coaching::client_text(client_of(number));
  const auto written = recordings::write_logbook(folder / kLogbook, made_up_logbook(number, sets),
                                                 recordings::Overwrite::yes);
  if (!written) {
    std::cerr << written.error().line() << '\n';
    std::exit(1);
  }
}

}  // namespace

std::string made_up_client(int number) { return fmt::format("client {:03}", number); }

recordings::Logbook made_up_logbook(int client, int sets) {
  Random random(static_cast<Random::result_type>(client));
  recordings::Logbook logbook{made_up_client(client), {}};
  Wearing wearing{};
  for (int i = 0; i < sets; ++i) {
    if (i % kSetsADay == 0) wearing = strap_on(random);
    const auto said = description_of(logbook.client, i / kSetsADay, i % kSetsADay);
    logbook.sets.push_back(set_of(i, said, wearing, random));
    if (sets - i > kSetsWithReps) logbook.sets.back().reps.clear();
  }
  return logbook;
}

std::filesystem::path clients_with_logbooks(int clients, int sets) {
  const auto folder = data_folder() / fmt::format("{}-sets", sets);
  for (int number = 1; number <= clients; ++number) make(folder, number, sets);
  return folder;
}

std::filesystem::path logbook_file(int sets) {
  return clients_with_logbooks(1, sets) / folder_name(1) / kLogbook;
}

std::string day_after(int sets) { return date_of((sets + kSetsADay - 1) / kSetsADay); }

}  // namespace strapline::benchmarks
