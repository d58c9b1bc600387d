#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::recordings {

enum class AccelerationUnit { metre_per_second_squared, g, milli_g };
enum class RateUnit { radian_per_second, degree_per_second, millidegree_per_second };
enum class TimeUnit { second, millisecond, microsecond };

/// "m/s2", "g", "mg"; "rad/s", "deg/s", "mdeg/s"; "s", "ms", "us". Fail naming the valid ones.
[[nodiscard]] dsp::Result<AccelerationUnit> acceleration_unit_from_string(std::string_view name);
[[nodiscard]] dsp::Result<RateUnit> rate_unit_from_string(std::string_view name);
[[nodiscard]] dsp::Result<TimeUnit> time_unit_from_string(std::string_view name);

struct CsvOptions {
  AccelerationUnit acc = AccelerationUnit::metre_per_second_squared;
  RateUnit gyr = RateUnit::radian_per_second;
  TimeUnit time = TimeUnit::second;
  /// Samples per second. Needed where there is no column t; else it is worked out from t.
  std::optional<double> rate_hz;
};

/// What became of one CSV file.
struct CsvReport {
  dsp::Placement placement;
  std::filesystem::path file;
  std::size_t rows = 0;      ///< rows with data in the file
  std::size_t dropped = 0;   ///< of them without all seven values: left out, never made zero
  std::size_t gaps = 0;      ///< places where more than 1.5 sample periods lie between neighbours
  double longest_gap_s = 0;  ///< longest time between neighbours, where there is a gap
  double acc_rounding = 0;   ///< largest rounding, m/s²; 0: every digit of the text is kept
  double gyr_rounding = 0;   ///< same, rad/s
  std::vector<std::string> notes;  ///< what the user must know, one line each
};

struct CsvImport {
  StrapRecord strap;
  CsvReport report;
};

/// Reads one strap's CSV file: a header line with the names t,ax,ay,az,gx,gy,gz in any order and
/// case, other columns ignored; separated by comma or semicolon (then with decimal commas or
/// points); a byte order mark, CR LF, quotes and blank lines at the end do no harm. A cell that is
/// empty or "nan" makes its sample a gap. The text's decimals are kept exactly as counts of a
/// decimal scale (at least 1e-6 m/s² and 1e-7 rad/s, as far as 32 bits hold them).
/// Fails with file:line and the column on a bad cell, a row of the wrong length and a time that
/// does not increase; and on a missing file, column or rate.
[[nodiscard]] dsp::Result<CsvImport> import_csv(const std::filesystem::path& file,
                                                dsp::Placement placement,
                                                const CsvOptions& options);

struct SensorFile {
  dsp::Placement placement;
  std::filesystem::path file;
};

struct ImportedSet {
  Recording recording;             ///< source "imported"
  std::vector<CsvReport> reports;  ///< one per strap, in the order of `files`
};

/// Several straps' files as one recording; each keeps its own times and rate. The description,
/// body and parts of `frame` are taken and checked against the data (validate.hpp).
[[nodiscard]] dsp::Result<ImportedSet> import_recording(const std::vector<SensorFile>& files,
                                                        const CsvOptions& options,
                                                        const Recording& frame);

}  // namespace strapline::recordings
