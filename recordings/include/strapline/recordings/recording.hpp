#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/body.hpp"
#include "strapline/dsp/calibration.hpp"
#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/placement.hpp"

namespace strapline::recordings {

/// 6×n raw counts, rows ax ay az gx gy gz. 32 bits hold every 16-bit part, and imported decimals.
using Counts = Eigen::Matrix<std::int32_t, 6, Eigen::Dynamic>;

/// How a strap's device ticks became common time: t = offset_s + ticks · seconds_per_tick.
struct ClockFit {
  double offset_s = 0.0;
  double seconds_per_tick = 0.0;
  double offset_u_s = 0.0;  ///< standard uncertainty of t in the middle of the recording, s
  double skew_ppm = 0.0;    ///< of the device's clock against the host's
};

/// What the link did; all zero for imported and synthetic data.
struct LinkCounts {
  std::uint64_t batches = 0, lost = 0, resent = 0, corrupt = 0, late = 0;
  std::uint64_t device_dropped = 0, device_saturated = 0;
};

/// A strap's calibration at the desk, and when that was.
struct DatedCalibration {
  std::string made_utc;  ///< ISO 8601, e.g. "2026-11-20T17:30:00Z"
  dsp::StrapCalibration values;
};

/// One strap's untouched readings.
struct StrapRecord {
  dsp::Placement placement;
  std::uint64_t device_id = 0;
  std::uint32_t firmware_version = 0;
  double rate_hz = 0.0;               ///< the true nominal rate as the strap states it
  double tick_hz = 0.0;               ///< device ticks per second (nominal)
  double acc_scale = 0.0;             ///< m/s² per count
  double gyr_scale = 0.0;             ///< rad/s per count
  std::int32_t full_scale_count = 0;  ///< |count| at or above it is saturated; 0: unknown
  Counts counts;                      ///< 6×n
  std::vector<std::int64_t> tick;     ///< n, unwrapped device ticks
  Eigen::VectorXd t;                  ///< n, common time, s, from the clock fit
  ClockFit clock;
  LinkCounts link;
  dsp::SensorErrors errors;                     ///< of the named part, or the defaults
  std::string part_name;                        ///< the sensor part, "" where unknown
  std::optional<DatedCalibration> calibration;  ///< in force when recorded; counts are without it
};

/// Who, what, how: entered, never guessed. Unset means not logged.
struct SetDescription {
  std::string client;  ///< role or name; never empty in a stored file
  std::string movement = "squat";
  std::string variation;
  std::string kit;          ///< which sensors, how worn: like is compared with like
  std::string started_utc;  ///< ISO 8601, e.g. "2026-11-25T08:00:00Z"
  std::optional<double> load_kg;
  std::optional<double> effort_rpe;  ///< 1–10
  std::optional<double> reps_in_reserve;
  std::optional<double> pain;  ///< 0–10
  std::string pain_place;
  std::string notes;
};

/// One recorded set: the truth that everything else is derived from.
struct Recording {
  SetDescription description;
  dsp::BodyDimensions body;
  dsp::RecordingParts parts;
  std::vector<StrapRecord> straps;
  std::string source;      ///< "live", "imported", "synthetic", "recovered"
  std::string truth_json;  ///< synthetic only: the simulator's truth, else empty
};

/// Readings in SI units on the common time, with saturation and gap flags (a gap: more than
/// 1.5 sample periods between neighbours). The strap's calibration is applied, and its errors are
/// then narrowed; the flags are those of the raw counts. Stuck readings are left out.
[[nodiscard]] dsp::StrapSeries to_series(const StrapRecord& strap);

}  // namespace strapline::recordings
