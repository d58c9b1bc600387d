#include "strapline/recordings/import_csv.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "strapline/dsp/reading_lag.hpp"
#include "strapline/recordings/validate.hpp"

#include "csv_table.hpp"
#include "decimal_counts.hpp"
#include "hdf5/error.hpp"

namespace strapline::recordings {
namespace {

constexpr double kGapPeriods = 1.5;
// Half of the coarsest usual count; a thousandth of what common parts resolve. Above it, values so
// large that 32 bits do not hold their digits: worth a word.
constexpr double kMostAccRounding = 0.5e-6;
constexpr double kMostGyrRounding = 1e-7;
constexpr double kStandardGravity = 9.80665;  // m/s², 3rd CGPM 1901

/// One unit of the text in SI, and the decimals that make a count at most 1e-6 m/s², 2e-7 rad/s
/// or 1e-6 s.
struct TextUnit {
  double si;
  int decimals;
};

TextUnit unit_of(AccelerationUnit unit) {
  switch (unit) {
    case AccelerationUnit::g:
      return {kStandardGravity, 7};
    case AccelerationUnit::milli_g:
      return {kStandardGravity / 1000.0, 4};
    case AccelerationUnit::metre_per_second_squared:
      break;
  }
  return {1.0, 6};
}

TextUnit unit_of(RateUnit unit) {
  switch (unit) {
    case RateUnit::degree_per_second:
      return {std::numbers::pi / 180.0, 5};
    case RateUnit::millidegree_per_second:
      return {std::numbers::pi / 180e3, 2};
    case RateUnit::radian_per_second:
      break;
  }
  return {1.0, 7};
}

/// Decimals of a second in one unit of the text.
int time_decimals(TimeUnit unit) {
  return unit == TimeUnit::second ? 0 : unit == TimeUnit::millisecond ? 3 : 6;
}

const char* name_of(TimeUnit unit) {
  return unit == TimeUnit::second ? "s" : unit == TimeUnit::millisecond ? "ms" : "us";
}

bool complete(const CsvRow& row) {
  return std::none_of(row.cells.begin(), row.cells.end(),
                      [](const CsvCell& cell) { return cell.missing(); });
}

std::vector<CsvRow> kept_rows(const CsvTable& table, const std::string& file) {
  std::vector<CsvRow> kept;
  std::copy_if(table.rows.begin(), table.rows.end(), std::back_inserter(kept), complete);
  if (kept.size() < 2) {
    h5::raise(fmt::format("holds {} complete samples", kept.size()), file, "at least 2 are needed");
  }
  return kept;
}

/// Three columns as counts of one scale; returns the largest rounding in the text's unit.
double fill_counts(const std::vector<CsvRow>& rows, std::size_t first_column, int decimals,
                   Counts& counts, double& scale_in_text_unit) {
  int needed = 0;
  double largest = 0.0;
  for (const CsvRow& row : rows) {
    for (std::size_t c = first_column; c < first_column + 3; ++c) {
      needed = std::max(needed, row.cells[c].decimals);
      largest = std::max(largest, std::abs(row.cells[c].value));
    }
  }
  const DecimalScale scale = DecimalScale::choose(needed, decimals, largest);
  scale_in_text_unit = scale.value(1);
  double rounding = 0.0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t c = first_column; c < first_column + 3; ++c) {
      const double value = rows[i].cells[c].value;
      const std::int32_t count = scale.count(value);
      counts(static_cast<Eigen::Index>(c - kAx), static_cast<Eigen::Index>(i)) = count;
      rounding = std::max(rounding, std::abs(scale.value(count) - value));
    }
  }
  return needed <= scale.decimals ? 0.0 : rounding;
}

void fill_readings(const std::vector<CsvRow>& rows, const CsvOptions& options, CsvImport& import) {
  StrapRecord& strap = import.strap;
  strap.counts.resize(6, static_cast<Eigen::Index>(rows.size()));
  const TextUnit acc = unit_of(options.acc);
  const TextUnit gyr = unit_of(options.gyr);
  import.report.acc_rounding =
      acc.si * fill_counts(rows, kAx, acc.decimals, strap.counts, strap.acc_scale);
  import.report.gyr_rounding =
      gyr.si * fill_counts(rows, kGx, gyr.decimals, strap.counts, strap.gyr_scale);
  strap.acc_scale *= acc.si;
  strap.gyr_scale *= gyr.si;
}

// Text times become ticks of a decimal clock, fine enough for every digit down to nanoseconds.
void fill_times(const std::vector<CsvRow>& rows, TimeUnit unit, const std::string& file,
                StrapRecord& strap) {
  int needed = 0;
  for (const CsvRow& row : rows) needed = std::max(needed, row.cells[kTime].decimals);
  const int unit_decimals = time_decimals(unit);
  const int decimals = std::clamp(needed, 6 - unit_decimals, 9 - unit_decimals);
  const double factor = power_of_ten(decimals);
  strap.tick_hz = power_of_ten(decimals + unit_decimals);
  strap.t.resize(static_cast<Eigen::Index>(rows.size()));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double text_time = rows[i].cells[kTime].value;
    const std::string where = fmt::format("{}:{}:t", file, rows[i].line);
    if (std::abs(text_time * factor) > 9e18) h5::raise("the time is out of range", where);
    strap.tick.push_back(std::llround(text_time * factor));
    if (i > 0 && strap.tick[i] <= strap.tick[i - 1]) {
      h5::raise(
          fmt::format("time {} {} does not come after {} {} of line {}", text_time, name_of(unit),
                      rows[i - 1].cells[kTime].value, name_of(unit), rows[i - 1].line),
          where, "times must increase");
    }
    strap.t[static_cast<Eigen::Index>(i)] = static_cast<double>(strap.tick[i]) / strap.tick_hz;
  }
}

// Without times, row number i was read at i / rate, the dropped rows included.
void fill_times_from_rate(const std::vector<CsvRow>& rows, double rate_hz, StrapRecord& strap,
                          std::size_t first_line) {
  strap.tick_hz = rate_hz;
  strap.t.resize(static_cast<Eigen::Index>(rows.size()));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    strap.tick.push_back(static_cast<std::int64_t>(rows[i].line - first_line));
    strap.t[static_cast<Eigen::Index>(i)] = static_cast<double>(strap.tick[i]) / rate_hz;
  }
}

// The median step says how many periods each step holds; then all steps together give the rate,
// which a rounded time stamp alone would not (127.9 Hz written with 5 decimals).
double rate_from_times(const Eigen::VectorXd& t) {
  std::vector<double> steps;
  for (Eigen::Index i = 1; i < t.size(); ++i) steps.push_back(t[i] - t[i - 1]);
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  const double median = *middle;
  double periods = 0.0;
  for (const double step : steps) periods += std::max(1.0, std::round(step / median));
  return periods / (t[t.size() - 1] - t[0]);
}

void count_gaps(const StrapRecord& strap, CsvReport& report) {
  for (Eigen::Index i = 1; i < strap.t.size(); ++i) {
    const double step = strap.t[i] - strap.t[i - 1];
    if (step * strap.rate_hz <= kGapPeriods) continue;
    ++report.gaps;
    report.longest_gap_s = std::max(report.longest_gap_s, step);
  }
}

void add_notes(const CsvImport& import, double rate_in_times, CsvReport& report) {
  if (report.dropped > 0) {
    report.notes.push_back(fmt::format("{} of {} samples have missing values and were left out",
                                       report.dropped, report.rows));
  }
  if (report.gaps > 0) {
    report.notes.push_back(
        fmt::format("{} gaps, the longest {:.3f} s", report.gaps, report.longest_gap_s));
  }
  if (report.acc_rounding > kMostAccRounding || report.gyr_rounding > kMostGyrRounding) {
    report.notes.push_back(
        fmt::format("digits beyond 32 bits were rounded, by at most {:.1e} m/s2 "
                    "and {:.1e} rad/s",
                    report.acc_rounding, report.gyr_rounding));
  }
  if (std::abs(rate_in_times / import.strap.rate_hz - 1.0) > 0.02) {
    report.notes.push_back(fmt::format("the times say {:.4g} Hz, the rate given is {:.4g} Hz",
                                       rate_in_times, import.strap.rate_hz));
  }
}

void set_clock(const CsvTable& table, const std::vector<CsvRow>& rows, const CsvOptions& options,
               CsvImport& import) {
  StrapRecord& strap = import.strap;
  const std::string file = import.report.file.string();
  if (options.rate_hz && !(*options.rate_hz > 0.0 && *options.rate_hz < 1e6)) {
    h5::raise(fmt::format("a rate of {} Hz is not possible", *options.rate_hz), file);
  }
  if (table.has_time) {
    fill_times(rows, options.time, file, strap);
  } else if (options.rate_hz) {
    fill_times_from_rate(rows, *options.rate_hz, strap, table.rows.front().line);
  } else {
    h5::raise("there is no column t", file, "give the sample rate");
  }
  const double rate_in_times = rate_from_times(strap.t);
  strap.rate_hz = options.rate_hz.value_or(rate_in_times);
  strap.clock = {0.0, 1.0 / strap.tick_hz, 0.0, 0.0};
  strap.errors.reading_lag = dsp::usual_reading_lag(strap.rate_hz);
  count_gaps(strap, import.report);
  add_notes(import, rate_in_times, import.report);
}

CsvImport read_one(const std::filesystem::path& file, dsp::Placement placement,
                   const CsvOptions& options) {
  const CsvTable table = read_csv(file);
  const std::vector<CsvRow> rows = kept_rows(table, file.string());
  CsvImport import;
  import.strap.placement = placement;
  import.report.placement = placement;
  import.report.file = file;
  import.report.rows = table.rows.size();
  import.report.dropped = table.rows.size() - rows.size();
  fill_readings(rows, options, import);
  set_clock(table, rows, options, import);
  return import;
}

template <class Unit>
dsp::Result<Unit> unit_from(std::string_view name,
                            const std::array<std::pair<std::string_view, Unit>, 3>& known) {
  for (const auto& [spelling, unit] : known) {
    if (spelling == name) return unit;
  }
  return dsp::fail(fmt::format("unknown unit \"{}\"", name), {},
                   fmt::format("use {}, {} or {}", known[0].first, known[1].first, known[2].first));
}

}  // namespace

dsp::Result<AccelerationUnit> acceleration_unit_from_string(std::string_view name) {
  return unit_from<AccelerationUnit>(name, {{{"m/s2", AccelerationUnit::metre_per_second_squared},
                                             {"g", AccelerationUnit::g},
                                             {"mg", AccelerationUnit::milli_g}}});
}

dsp::Result<RateUnit> rate_unit_from_string(std::string_view name) {
  return unit_from<RateUnit>(name, {{{"rad/s", RateUnit::radian_per_second},
                                     {"deg/s", RateUnit::degree_per_second},
                                     {"mdeg/s", RateUnit::millidegree_per_second}}});
}

dsp::Result<TimeUnit> time_unit_from_string(std::string_view name) {
  return unit_from<TimeUnit>(
      name,
      {{{"s", TimeUnit::second}, {"ms", TimeUnit::millisecond}, {"us", TimeUnit::microsecond}}});
}

dsp::Result<CsvImport> import_csv(const std::filesystem::path& file, dsp::Placement placement,
                                  const CsvOptions& options) {
  return h5::guarded({}, [&] { return read_one(file, placement, options); });
}

dsp::Result<ImportedSet> import_recording(const std::vector<SensorFile>& files,
                                          const CsvOptions& options, const Recording& frame) {
  ImportedSet set;
  set.recording = frame;
  set.recording.source = "imported";
  set.recording.straps.clear();
  if (files.empty()) return dsp::fail("no sensor file is given", {}, "give at least one");
  for (const SensorFile& one : files) {
    auto import = import_csv(one.file, one.placement, options);
    if (!import) return tl::make_unexpected(import.error());
    set.recording.straps.push_back(std::move(import->strap));
    set.reports.push_back(std::move(import->report));
  }
  if (const auto valid = validate(set.recording); !valid) {
    return tl::make_unexpected(valid.error());
  }
  return set;
}

}  // namespace strapline::recordings
