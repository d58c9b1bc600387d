#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/change.hpp"
#include "strapline/coaching/trend.hpp"
#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// One recorded set as the comparison sees it.
struct ComparedSet {
  std::string name;  ///< what the reader knows it by: a file name
  std::string client;
  std::string movement;
  std::string variation;
  std::string kit;
  std::string started_utc;  ///< ISO 8601, "2026-11-25T08:00:00Z" or the date alone
  std::optional<double> load_kg;
  std::optional<double> effort_rpe;
  std::optional<double> reps_in_reserve;
  std::optional<double> pain;                  ///< 0–10
  int full_reps = 0;                           ///< part reps stay out
  std::map<std::string, RepSummary> measures;  ///< by full name, what a full rep or more measured
  /// What none of them measured, and why. Only the latest set's reasons are looked at.
  std::map<std::string, std::string> not_measured;
};

struct CompareOptions {
  /// The smallest difference that matters to the coach, SI, by base name ("knee_flexion") or full
  /// name ("knee_flexion_left", which goes first).
  std::map<std::string, double> smallest_that_matters;
  ErrorParameters error;
  /// A trend is given from this many days on. Common practice: fewer cannot reach 5 %.
  int least_days_for_trend = 5;
};

/// The entry of a measure's full name, else of its base name; empty where there is none.
[[nodiscard]] std::optional<double> smallest_for(const std::string& measure,
                                                 const CompareOptions& options);

/// In what a set differs from the latest one, so that it is not compared with it.
enum class Unlike { movement, variation, kit };

struct LeftOutSet {
  std::size_t set = 0;  ///< index into Comparison::sets
  std::vector<Unlike> differs_in;
};

/// One set's value of a measure.
struct SetValue {
  std::size_t set = 0;  ///< index into Comparison::sets
  double day = 0.0;     ///< days since 1970-01-01, UTC
  SetMean mean;         ///< SI
};

/// A side of a comparison: the sets of a week at the same load, one value per day, because the
/// sets of one day share how the straps sit.
struct ComparedSide {
  std::vector<std::size_t> sets;  ///< indices into Comparison::sets
  ComparedMean mean;              ///< SI
};

/// A trend over all like sets, whatever their loads: the loads stand beside it. One value per day,
/// the mean of its sets, as for a side: sets that share how the straps sit are no further
/// witnesses.
struct Trend {
  int sets = 0;
  int days = 0;      ///< with a set: the points of the trend
  TheilSen per_day;  ///< SI per day
  MannKendall test;
  std::optional<double> first_load_kg, last_load_kg;
};

/// What is said of one measure, with its evidence.
struct MeasureFinding {
  std::string measure;  ///< full name
  dsp::Unit unit = dsp::Unit::one;
  std::vector<SetValue> values;  ///< every like set that measured it, in time order
  ErrorBasis error;
  std::optional<double> smallest_that_matters;  ///< SI
  std::optional<ComparedSide> baseline;         ///< empty where there are not two sets
  std::optional<ComparedSide> latest;
  std::optional<Change> change;
  std::optional<Trend> trend;
};

/// A measure that the latest set lacks.
struct MissingMeasure {
  std::string measure;
  std::string reason;  ///< as its reps gave it; "" where they gave none
};

struct Comparison {
  std::vector<ComparedSet> sets;         ///< in time order
  std::vector<double> day;               ///< of each set, days since 1970-01-01 UTC
  std::vector<LeftOutSet> left_out;      ///< unlike the latest set
  std::vector<MeasureFinding> findings;  ///< in the order shown
  std::vector<MissingMeasure> missing;
};

/// Compares like with like: the sets of the latest one's movement, variation and kit. Baseline is
/// the first week's, latest the last week's (ErrorParameters::repeat_window_days), each at one
/// load: the last set's, or in the first week the load nearest to it.
/// Fails on no sets, sets of several clients, a date that cannot be read, or a measure whose unit
/// differs from set to set.
[[nodiscard]] dsp::Result<Comparison> compare_sets(std::vector<ComparedSet> sets,
                                                   const CompareOptions& options);

}  // namespace strapline::coaching
