#include "ladder_reader.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "load_range_reader.hpp"

namespace strapline::coaching {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;

constexpr int kMostReps = 1000;

constexpr std::pair<std::string_view, Novelty> kNovelties[] = {
    {"start", Novelty::start}, {"assistance", Novelty::assistance},
    {"range", Novelty::range}, {"variation", Novelty::variation},
    {"load", Novelty::load},
};

Novelty read_novelty(TableReader& reader) {
  const std::string text = reader.text("brings");
  for (const auto& [name, novelty] : kNovelties) {
    if (name == text) return novelty;
  }
  reader.fault("brings", "'brings' is \"" + text + "\"",
               "use start, assistance, range, variation or load: one new thing at a time");
  return Novelty::start;
}

/// A whole number from `least` to `most`, or `usual` where it is left out.
int read_count(TableReader& reader, std::string_view key, int least, int most, int usual) {
  const auto number = reader.maybe_number(key);
  if (!number) return usual;
  if (*number < least || *number > most || *number != std::floor(*number)) {
    reader.fault(key, "'" + std::string(key) + "' is not a whole number from " +
                          std::to_string(least) + " to " + std::to_string(most));
    return usual;
  }
  return static_cast<int>(*number);
}

std::optional<double> read_amount(TableReader& reader, std::string_view key) {
  const auto number = reader.maybe_number(key);
  if (number && !(*number >= 0.0 && std::isfinite(*number))) {
    reader.fault(key, "'" + std::string(key) + "' is below 0");
  }
  return number;
}

std::optional<ScaledLoad> read_load(TableReader& reader) {
  const auto kg = read_amount(reader, "load_kg");
  const auto mass = read_amount(reader, "load_body_mass");
  if (kg && mass) {
    reader.fault("load_kg", "both 'load_kg' and 'load_body_mass' are given", "give one of them");
  }
  if (kg) return ScaledLoad{LoadScale::kg, *kg};
  if (mass) return ScaledLoad{LoadScale::body_mass, *mass};
  return std::nullopt;
}

void read_reasons(TableReader& reader, std::string& why, std::string& source) {
  why = reader.text("why");
  source = reader.text("source");
}

void read_entry(TableReader& reader, EntryCondition& entry) {
  if (const auto degrees = read_amount(reader, "range")) entry.range = *degrees * kDegree;
  entry.load = read_load(reader);
  if (!entry.range && !entry.load) {
    reader.fault("range", "an entry condition without 'range' or a load", "give one of them");
  }
  read_reasons(reader, entry.why, entry.source);
}

void read_exit(TableReader& reader, ExitCondition& exit) {
  exit.sessions = read_count(reader, "sessions", 1, kMostSessions, exit.sessions);
  exit.extra_reps = read_count(reader, "extra_reps", 0, kMostReps, exit.extra_reps);
  exit.reserve = read_amount(reader, "reserve").value_or(exit.reserve);
  if (const auto degrees = read_amount(reader, "range_loss")) exit.range_loss = *degrees * kDegree;
  exit.load = read_load(reader);
  read_reasons(reader, exit.why, exit.source);
}

void read_step(TableReader& reader, LadderStep& step) {
  step.name = reader.text("name");
  step.title = reader.text("title");
  step.movement = reader.text("movement");
  step.variation = reader.maybe_text("variation");
  step.aim = reader.text("aim");
  step.brings = read_novelty(reader);
  step.reps = read_count(reader, "reps", 1, kMostReps, step.reps);
  if (const toml::table* loads = reader.maybe_table("loads")) {
    reader.inside(*loads, reader.title_of("loads"),
                  [&](auto& inner) { step.loads = read_load_range(inner); });
  }
  if (const toml::table* entry = reader.maybe_table("entry")) {
    step.entry.emplace();
    reader.inside(*entry, reader.title_of("entry"),
                  [&](auto& inner) { read_entry(inner, *step.entry); });
  }
  if (const toml::table* exit = reader.table("exit")) {
    reader.inside(*exit, reader.title_of("exit"),
                  [&](auto& inner) { read_exit(inner, step.exit); });
  }
}

void check_step(TableReader& reader, const Ladder& ladder, const LadderStep& step) {
  if (find_step(ladder, step.name)) {
    reader.fault("name", "a second step is called '" + step.name + "'", "give each its own name");
  }
  if (ladder.steps.empty() != (step.brings == Novelty::start)) {
    reader.fault("brings", "the first step, and no other, brings \"start\"",
                 "say what is new in this step");
  }
}

}  // namespace

void read_ladder(TableReader& root, Ladder& ladder) {
  ladder.name = root.text("name");
  ladder.title = root.text("title");
  ladder.purpose = root.text("purpose");
  for (const toml::table* table : root.tables("steps")) {
    root.inside(*table, "steps", [&](auto& inner) {
      LadderStep step;
      read_step(inner, step);
      check_step(inner, ladder, step);
      ladder.steps.push_back(std::move(step));
    });
  }
  if (ladder.steps.size() < 2) {
    root.fault("steps", "a ladder has two steps or more", "add [[steps]]");
  }
}

}  // namespace strapline::coaching
