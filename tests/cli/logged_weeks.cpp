#include "logged_weeks.hpp"

#include <filesystem>

#include <gtest/gtest.h>

namespace strapline::cli::testing {
namespace {

constexpr double kDegree = 0.017453292519943295;

dsp::Rep made_rep(const MadeSet& set, int number) {
  dsp::Rep rep;
  rep.start_s = 4.0 * number;
  rep.turn_in_s = rep.start_s + 1.5;
  rep.turn_out_s = rep.turn_in_s + 0.3;
  rep.end_s = rep.turn_out_s + 1.2;
  const auto angle = [](double deg) {
    return dsp::MeasuredValue{deg * kDegree, 1.0 * kDegree, dsp::Unit::radian};
  };
  rep.measures["thigh_depth_left"] = angle(set.depth_deg);
  rep.measures["thigh_depth_right"] = angle(set.depth_deg);
  rep.measures["range"] = angle(set.range_deg + (number % 2 == 0 ? 0.5 : -0.5));
  rep.measures["knee_line_distance_left"] = dsp::MeasuredValue{0.01, 0.004, dsp::Unit::metre};
  rep.measures["lowering_s"] = dsp::MeasuredValue{1.5, 0.02, dsp::Unit::second};
  return rep;
}

recordings::LoggedSet made_set(const MadeSet& set, int number) {
  recordings::LoggedSet logged;
  logged.set_id = std::to_string(1000000000000000LL + number);
  logged.file = "set_" + std::to_string(number) + ".h5";
  logged.source = "synthetic";
  logged.algorithm = "made by hand";
  logged.description.movement = "squat";
  logged.description.variation = set.variation;
  logged.description.started_utc = set.date + "T08:00:00Z";
  logged.description.load_kg = set.load_kg;
  logged.description.reps_in_reserve = set.reserve;
  logged.description.pain = set.pain;
  logged.full_reps = set.reps;
  for (int rep = 0; rep < set.reps; ++rep) logged.reps.push_back(made_rep(set, rep));
  logged.measures = recordings::summarise(logged.reps);
  return logged;
}

std::string folder_of(const std::string& client) {
  std::string slug = client;
  for (char& c : slug) c = c == ' ' ? '-' : c;
  return slug;
}

}  // namespace

void put_logbook(const std::string& clients, const std::string& client,
                 const std::vector<MadeSet>& sets) {
  recordings::Logbook logbook;
  logbook.client = client;
  int number = 0;
  for (const MadeSet& set : sets) {
    logbook.sets.push_back(made_set(set, ++number));
    logbook.sets.back().description.client = client;
  }
  const auto path = std::filesystem::path(clients) / folder_of(client) / "logbook.h5";
  const auto written = recordings::write_logbook(path, logbook, recordings::Overwrite::yes);
  ASSERT_TRUE(written) << written.error().line();
}

}  // namespace strapline::cli::testing
