#include "strapline/cli/change_study.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <functional>
#include <optional>
#include <random>
#include <thread>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/chance.hpp"
#include "strapline/coaching/comparison.hpp"
#include "strapline/coaching/test_retest.hpp"
#include "strapline/recordings/logbook.hpp"

#include "loaded_sets.hpp"

namespace strapline::cli {
namespace {

using coaching::ErrorSource;

/// What stands between the first week and the last, by days a side (1, 2, 3).
struct Plan {
  ErrorSource source = ErrorSource::stated_uncertainty;
  std::array<int, 3> weeks_between{};
};
/// Own repeats: hardly more than the fewest that are trusted, and three months of them.
constexpr Plan kPlans[] = {{ErrorSource::stated_uncertainty, {6, 6, 6}},
                           {ErrorSource::own_repeats, {4, 3, 1}},
                           {ErrorSource::own_repeats, {12, 12, 12}}};

struct StudiedMeasure {
  const char* name;
  dsp::Unit unit;
  double value;  ///< SI, usual
};
constexpr StudiedMeasure kMeasures[] = {
    {"knee_flexion_left", dsp::Unit::radian, 1.8},
    {"knee_line_distance_left", dsp::Unit::metre, 0.02},
    {"lifting_s", dsp::Unit::second, 1.2},
    {"concentric_velocity", dsp::Unit::metre_per_second, 0.5},
};

/// The truth about a client, SI.
struct Client {
  StudiedMeasure measure{};
  double restrapping = 0.0;  ///< 1 sigma from wearing to wearing that nobody states
  double alignment = 0.0;    ///< 1 sigma from wearing to wearing that the reps' u states
  double spread = 0.0;       ///< 1 sigma from rep to rep
  int reps = 0;
  std::optional<double> matters;  ///< in MDC95s

  [[nodiscard]] double sem_with(double of_wearing) const {
    return std::sqrt(of_wearing * of_wearing + alignment * alignment + spread * spread / reps);
  }
  [[nodiscard]] double sem() const { return sem_with(restrapping); }
  [[nodiscard]] double mdc95() const { return coaching::minimal_detectable_change_95(sem()); }
};

/// SplitMix64's step (Steele, Lea, Flood 2014, doi 10.1145/2714064.2660195): neighbouring seeds
/// make unrelated streams.
std::uint64_t mixed(std::uint64_t x) {
  x += 0x9E3779B97F4A7C15U;
  x = (x ^ (x >> 30U)) * 0xBF58476D1CE4E5B9U;
  x = (x ^ (x >> 27U)) * 0x94D049BB133111EBU;
  return x ^ (x >> 31U);
}

class Draws {
 public:
  /// A stream of its own for every logbook, whatever the order in which they are made.
  Draws(std::uint64_t seed, std::uint64_t row, std::uint64_t logbook)
      : random_(mixed(mixed(mixed(seed) + row) + logbook)) {}
  double between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  int count(int low, int high) { return std::uniform_int_distribution<int>(low, high)(random_); }
  double normal(double sigma) { return sigma * normal_(random_); }

 private:
  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
};

Client draw_client(std::size_t logbook, Draws& draws) {
  Client client;
  client.measure = kMeasures[logbook % std::size(kMeasures)];
  const double usual = coaching::ErrorParameters().restrapping(client.measure.unit);
  client.restrapping = usual * draws.between(0.6, 1.4);
  client.alignment = usual * draws.between(0.4, 1.0);
  client.spread = usual * draws.between(0.5, 1.5);
  client.reps = draws.count(4, 8);
  const double matters = draws.between(0.5, 2.0);
  if (draws.count(0, 1) == 1) client.matters = matters;
  return client;
}

/// A day on which one set was done.
struct Day {
  int day = 0;
  double load_kg = 60.0;
};

/// Sides lie two weeks apart from what is between, so that no other day is counted with them.
std::vector<Day> calendar(const Plan& plan, int days_a_side) {
  constexpr int kEveryOther = 2, kGap = 14, kWeek = 7;
  std::vector<Day> days;
  for (int k = 0; k < days_a_side; ++k) days.push_back({kEveryOther * k});
  const int between = days.back().day + kGap;
  const int weeks = plan.weeks_between.at(static_cast<std::size_t>(days_a_side - 1));
  for (int week = 0; week < weeks; ++week) {
    const int day = between + kWeek * week;
    if (plan.source == ErrorSource::own_repeats) {
      days.push_back({day});
      days.push_back({day + 3});
    } else {
      days.push_back({day, 62.5 + 2.5 * week});
    }
  }
  const int last = between + kWeek * weeks + kGap;
  for (int k = 0; k < days_a_side; ++k) days.push_back({last + kEveryOther * k});
  return days;
}

/// Through the logbook's entry, as a recorded set comes to be compared.
coaching::ComparedSet make_set(const Client& client, const Day& day, double truth, Draws& draws) {
  static const double kStart = coaching::days_from_utc("2026-01-05").value_or(0.0);
  recordings::LoggedSet set;
  set.description.client = "medic";
  set.description.movement = "squat";
  set.description.started_utc = coaching::date_from_days(kStart + day.day);
  set.description.load_kg = day.load_kg;
  const double worn = truth + draws.normal(client.restrapping) + draws.normal(client.alignment);
  for (int rep = 0; rep < client.reps; ++rep) {
    dsp::Rep one;
    one.measures[client.measure.name] = dsp::MeasuredValue{worn + draws.normal(client.spread),
                                                           client.alignment, client.measure.unit};
    set.reps.push_back(std::move(one));
  }
  set.full_reps = client.reps;
  set.measures = recordings::summarise(set.reps);
  return to_compared(set);
}

/// The part of a change that a day has seen.
using Course = std::function<double(int day)>;

/// Even from the middle of the first side to the middle of the last; sudden: after the first side.
Course course_of(const std::vector<Day>& days, int days_a_side, bool sudden) {
  const int first_side = days[static_cast<std::size_t>(days_a_side - 1)].day;
  if (sudden) return [first_side](int day) { return day > first_side ? 1.0 : 0.0; };
  const double first = 0.5 * first_side;
  const double last = days.back().day - first;
  return [first, last](int day) { return (day - first) / (last - first); };
}

/// @param change between the middles of the two sides, SI.
std::vector<coaching::ComparedSet> make_logbook(const Client& client, const std::vector<Day>& days,
                                                const Course& course, double change, Draws& draws) {
  std::vector<coaching::ComparedSet> sets;
  for (const Day& day : days) {
    const double truth = client.measure.value + course(day.day) * change;
    sets.push_back(make_set(client, day, truth, draws));
  }
  return sets;
}

struct Kind {
  Plan plan;
  int days = 0;
  double times_mdc95 = 0.0;
};

std::vector<Kind> all_kinds() {
  std::vector<Kind> kinds;
  for (const int days : {1, 2, 3}) {
    for (const Plan& plan : kPlans) {
      for (const double change : {0.0, 0.5, 1.0, 1.5, 2.0}) kinds.push_back({plan, days, change});
    }
  }
  return kinds;
}

struct Outcome {
  std::string failure;
  coaching::Verdict verdict = coaching::Verdict::cannot_tell;
  double degrees_of_freedom = 0.0;
  double theory = 0.0;
  bool matters = false;
};

/// From the truth, and of the comparison only from how many degrees of freedom it had.
double theory_of(const Kind& kind, const Client& client, const coaching::ErrorBasis& error) {
  const double change = kind.times_mdc95 * client.mdc95();
  const double sides = std::sqrt(2.0 / kind.days);
  if (kind.plan.source == ErrorSource::own_repeats) {
    return coaching::chance_by_own_repeats(change, client.sem() * sides, error.degrees_of_freedom);
  }
  const double usual = coaching::ErrorParameters().restrapping(client.measure.unit);
  return coaching::chance_beyond(change, client.sem() * sides,
                                 error.coverage() * client.sem_with(usual) * sides);
}

Outcome run_logbook(const Kind& kind, const ChangeStudyOptions& study, std::size_t row,
                    std::size_t logbook) {
  Draws draws(study.seed, row, logbook);
  const Client client = draw_client(logbook, draws);
  const double change = kind.times_mdc95 * client.mdc95();
  coaching::CompareOptions options;
  if (client.matters) {
    options.smallest_that_matters[client.measure.name] = *client.matters * client.mdc95();
  }
  const std::vector<Day> days = calendar(kind.plan, kind.days);
  const Course course = course_of(days, kind.days, study.sudden);
  const auto comparison =
      coaching::compare_sets(make_logbook(client, days, course, change, draws), options);
  Outcome outcome;
  if (!comparison) {
    outcome.failure = comparison.error().line();
    return outcome;
  }
  const coaching::MeasureFinding& finding = comparison->findings.front();
  if (!finding.change || finding.error.source != kind.plan.source ||
      finding.baseline->mean.wearings != kind.days || finding.latest->mean.wearings != kind.days) {
    outcome.failure = "other sets were compared than were planned";
    return outcome;
  }
  outcome.verdict = finding.change->verdict;
  if (finding.error.source == ErrorSource::own_repeats) {
    outcome.degrees_of_freedom = finding.error.degrees_of_freedom;
  }
  outcome.theory = theory_of(kind, client, finding.error);
  outcome.matters = client.matters && kind.times_mdc95 >= *client.matters;
  return outcome;
}

void count(const Outcome& outcome, ChangeStudyRow& row) {
  ++row.logbooks;
  row.changed += outcome.verdict == coaching::Verdict::changed ? 1 : 0;
  row.unchanged += outcome.verdict == coaching::Verdict::unchanged ? 1 : 0;
  row.cannot_tell += outcome.verdict == coaching::Verdict::cannot_tell ? 1 : 0;
  row.degrees_of_freedom += outcome.degrees_of_freedom;
  row.theory += outcome.theory;
  row.matters += outcome.matters ? 1 : 0;
  row.matters_unchanged +=
      outcome.matters && outcome.verdict == coaching::Verdict::unchanged ? 1 : 0;
}

ChangeStudyRow run_row(const Kind& kind, const ChangeStudyOptions& options, std::size_t index,
                       std::vector<std::string>& failures) {
  ChangeStudyRow row;
  row.days = kind.days;
  row.source = kind.plan.source;
  row.times_mdc95 = kind.times_mdc95;
  for (int k = 0; k < options.logbooks; ++k) {
    const Outcome outcome = run_logbook(kind, options, index, static_cast<std::size_t>(k));
    if (outcome.failure.empty()) {
      count(outcome, row);
    } else {
      failures.push_back(outcome.failure);
    }
  }
  const double n = std::max(1, row.logbooks);
  row.degrees_of_freedom /= n;
  row.theory /= n;
  return row;
}

}  // namespace

ChangeStudy run_change_study(const ChangeStudyOptions& options) {
  const std::vector<Kind> kinds = all_kinds();
  ChangeStudy study{options, std::vector<ChangeStudyRow>(kinds.size()), {}};
  std::vector<std::vector<std::string>> failures(kinds.size());
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t k = next++; k < kinds.size(); k = next++) {
      study.rows[k] = run_row(kinds[k], options, k, failures[k]);
    }
  };
  std::vector<std::thread> threads;
  for (unsigned k = 1; k < std::thread::hardware_concurrency(); ++k) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) thread.join();
  for (const auto& of_row : failures) {
    study.failures.insert(study.failures.end(), of_row.begin(), of_row.end());
  }
  return study;
}

}  // namespace strapline::cli
