#include "session_recording.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

#include "strapline/dsp/reading_lag.hpp"
#include "strapline/recordings/synthetic/strap_setup.hpp"

namespace strapline::cli {
namespace {

namespace acq = acquisition;
using recordings::StrapRecord;

constexpr double kPico = 1e-12;

void take_identity(const firmware_protocol::Identity& identity, StrapRecord& record) {
  record.device_id = identity.device_id;
  record.firmware_version = identity.firmware_version;
  record.tick_hz = identity.tick_hz;
  record.acc_scale = kPico * static_cast<double>(identity.acc_scale_pico);
  record.gyr_scale = kPico * static_cast<double>(identity.gyr_scale_pico);
  record.full_scale_count = identity.full_scale_count;
  record.part_name.assign(identity.part_name.text.data(), identity.part_name.length);
}

recordings::LinkCounts to_counts(const acq::LinkStatistics& link) {
  return {link.batches, link.lost,           link.resent,          link.corrupt,
          link.late,    link.device_dropped, link.device_saturated};
}

void take_readings(const acq::StrapResult& strap, double origin_s, StrapRecord& record) {
  const auto n = static_cast<Eigen::Index>(strap.ticks.size());
  record.counts.resize(6, n);
  record.t.resize(n);
  record.tick = strap.ticks;
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto sample = static_cast<std::size_t>(i);
    for (Eigen::Index axis = 0; axis < 6; ++axis) {
      record.counts(axis, i) = strap.counts[sample][static_cast<std::size_t>(axis)];
    }
    record.t[i] = strap.clock.common_s(strap.ticks[sample]) - origin_s;
  }
}

StrapRecord to_record(const acq::StrapResult& strap, dsp::Placement placement, double origin_s) {
  StrapRecord record;
  record.placement = placement;
  take_identity(strap.identity, record);
  record.rate_hz = strap.rate_hz;
  record.errors = errors_of_part(record.part_name, record.rate_hz);
  record.clock = {strap.clock.offset_s - origin_s, strap.clock.seconds_per_tick,
                  strap.clock.offset_u_s, strap.clock.skew_ppm};
  record.link = to_counts(strap.link);
  take_readings(strap, origin_s, record);
  return record;
}

double first_reading_s(const acq::SessionResult& session) {
  double first = std::numeric_limits<double>::infinity();
  for (const acq::StrapResult& strap : session.straps) {
    if (!strap.ticks.empty()) first = std::min(first, strap.clock.common_s(strap.ticks.front()));
  }
  return first;
}

double last_reading_s(const std::vector<StrapRecord>& straps) {
  double last = 0.0;
  for (const StrapRecord& strap : straps) last = std::max(last, strap.t[strap.t.size() - 1]);
  return last;
}

std::optional<dsp::Interval>* part_of(dsp::RecordingParts& parts, const std::string& mark) {
  if (mark == kStillMark) return &parts.still;
  if (mark == kAlignMark) return &parts.align;
  if (mark == kSetMark) return &parts.set;
  if (mark == kStillAfterMark) return &parts.still_after;
  return nullptr;
}

/// A part goes from its mark to the next one, the last to the end.
void take_marks(const std::vector<acq::PartMark>& marks, double origin_s, double last_s,
                dsp::RecordingParts& parts) {
  for (std::size_t i = 0; i < marks.size(); ++i) {
    auto* part = part_of(parts, marks[i].text);
    if (part == nullptr) continue;
    const double to = i + 1 < marks.size() ? marks[i + 1].t_s - origin_s : last_s;
    *part = dsp::Interval{marks[i].t_s - origin_s, to};
  }
}

void cut_to_readings(std::optional<dsp::Interval>& part, const char* name, double last_s,
                     std::vector<std::string>& notes) {
  constexpr double kSlack_s = 0.1;
  if (!part) return;
  if (part->to_s > last_s + kSlack_s) {
    notes.push_back(
        fmt::format("the part \"{}\" was to end at {:.1f} s, the readings end at {:.1f} s", name,
                    part->to_s, last_s));
  }
  part->from_s = std::max(part->from_s, 0.0);
  part->to_s = std::min(part->to_s, last_s);
  if (!(part->from_s < part->to_s)) part.reset();
}

void add_losses(const acq::StrapResult& strap, SessionRecording& made) {
  const acq::LinkStatistics& link = strap.link;
  const auto say = [&](std::uint64_t count, const char* what) {
    if (count > 0) made.losses.push_back(fmt::format("{}: {} {}", strap.label, count, what));
  };
  say(link.lost, "batches of readings were lost on the way");
  say(link.device_dropped, "readings were dropped by the strap itself");
  say(link.restarts, "restarts of the strap: what it held then is gone");
}

}  // namespace

dsp::SensorErrors errors_of_part(const std::string& part_name, double rate_hz) {
  const auto part = recordings::synthetic::sensor_part(part_name);
  if (part) return recordings::synthetic::errors_of(*part);
  dsp::SensorErrors unknown;
  unknown.reading_lag = dsp::usual_reading_lag(rate_hz);
  return unknown;
}

dsp::Result<SessionRecording> to_recording(const acq::SessionResult& session,
                                           const SessionNotes& notes, const std::string& source) {
  SessionRecording made;
  made.recording.description = notes.description;
  made.recording.body = notes.body;
  made.recording.parts = notes.parts;
  made.recording.source = source;
  const double origin_s = first_reading_s(session);
  for (const acq::StrapResult& strap : session.straps) {
    const auto placement = dsp::placement_from_string(strap.label);
    if (strap.ticks.empty()) {
      made.losses.push_back(strap.label + ": sent no readings; it is left out");
      continue;
    }
    if (!placement) {
      made.losses.push_back("\"" + strap.label + "\" is no placement; its readings are left out");
      made.whole = false;
      continue;
    }
    made.recording.straps.push_back(to_record(strap, *placement, origin_s));
    add_losses(strap, made);
  }
  if (made.recording.straps.empty()) return dsp::fail("no strap has sent readings");
  if (session.damaged_bytes > 0) {
    made.losses.push_back(
        fmt::format("{} bytes of the journal are damaged", session.damaged_bytes));
    made.whole = false;
  }
  const double last_s = last_reading_s(made.recording.straps);
  dsp::RecordingParts& parts = made.recording.parts;
  take_marks(session.marks, origin_s, last_s, parts);
  cut_to_readings(parts.still, kStillMark, last_s, made.notes);
  cut_to_readings(parts.align, kAlignMark, last_s, made.notes);
  cut_to_readings(parts.set, kSetMark, last_s, made.notes);
  cut_to_readings(parts.still_after, "still after", last_s, made.notes);
  return made;
}

}  // namespace strapline::cli
