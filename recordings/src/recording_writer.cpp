#include <array>

#include "strapline/recordings/recording_file.hpp"

#include "atomic_file.hpp"
#include "description_group.hpp"
#include "file_format.hpp"
#include "hdf5/column.hpp"
#include "hdf5/group.hpp"
#include "strap_calibration.hpp"
#include "strap_names.hpp"

namespace strapline::recordings {
namespace {

using h5::Handle;
using h5::set_if;

// Eigen's column-major 6×n is, byte for byte, the file's row-major n×6.
static_assert(!Counts::IsRowMajor && Counts::RowsAtCompileTime == schema::kChannels);

void write_body(hid_t root, const dsp::BodyDimensions& body) {
  const Handle group = h5::create_group(root, "body");
  const hid_t id = group.get();
  set_if(id, "height_m", body.height);
  set_if(id, "thigh_m", body.thigh);
  set_if(id, "shank_m", body.shank);
  set_if(id, "foot_m", body.foot);
  set_if(id, "upper_arm_m", body.upper_arm);
  set_if(id, "forearm_m", body.forearm);
  set_if(id, "soft_tissue_thigh_rad", body.soft_tissue_thigh);
  set_if(id, "soft_tissue_limb_rad", body.soft_tissue_limb);
  set_if(id, "standing_lean_rad", body.standing_lean);
  set_if(id, "toe_line_rad", body.toe_line);
  set_if(id, "hinge_square_rad", body.hinge_square);
  set_if(id, "raise_plane_rad", body.raise_plane);
  set_if(id, "bow_plane_rad", body.bow_plane);
}

void write_part(hid_t group, const std::string& name, const std::optional<dsp::Interval>& part) {
  if (part) h5::set_reals(group, name, std::array{part->from_s, part->to_s});
}

void write_parts(hid_t root, const dsp::RecordingParts& parts) {
  const Handle group = h5::create_group(root, "parts");
  write_part(group.get(), "still_s", parts.still);
  write_part(group.get(), "align_s", parts.align);
  write_part(group.get(), "set_s", parts.set);
  write_part(group.get(), "still_after_s", parts.still_after);
}

void write_clock(hid_t strap, const ClockFit& clock) {
  const Handle group = h5::create_group(strap, "clock");
  h5::set_real(group.get(), "offset_s", clock.offset_s);
  h5::set_real(group.get(), "seconds_per_tick", clock.seconds_per_tick);
  h5::set_real(group.get(), "offset_u_s", clock.offset_u_s);
  h5::set_real(group.get(), "skew_ppm", clock.skew_ppm);
}

void write_link(hid_t strap, const LinkCounts& link) {
  const Handle group = h5::create_group(strap, "link");
  h5::set_unsigned(group.get(), "batches", link.batches);
  h5::set_unsigned(group.get(), "lost", link.lost);
  h5::set_unsigned(group.get(), "resent", link.resent);
  h5::set_unsigned(group.get(), "corrupt", link.corrupt);
  h5::set_unsigned(group.get(), "late", link.late);
  h5::set_unsigned(group.get(), "device_dropped", link.device_dropped);
  h5::set_unsigned(group.get(), "device_saturated", link.device_saturated);
}

void write_errors(hid_t strap, const StrapRecord& record) {
  const Handle group = h5::create_group(strap, "sensor");
  const hid_t id = group.get();
  set_if(id, "part_name", record.part_name);
  h5::set_real(id, "gyr_noise_density", record.errors.gyr_noise_density);
  h5::set_text(id, "gyr_noise_density_unit", "rad/s/sqrt(Hz)");
  h5::set_real(id, "acc_noise_density", record.errors.acc_noise_density);
  h5::set_text(id, "acc_noise_density_unit", "m/s^2/sqrt(Hz)");
  h5::set_real(id, "gyr_bias_sd", record.errors.gyr_bias_sd);
  h5::set_text(id, "gyr_bias_sd_unit", schema::kRateUnit);
  h5::set_real(id, "acc_bias_sd", record.errors.acc_bias_sd);
  h5::set_text(id, "acc_bias_sd_unit", schema::kAccelerationUnit);
  h5::set_real(id, "reading_lag_s", record.errors.reading_lag);
  h5::set_real(id, "gyr_gain_sd", record.errors.gyr_gain_sd);
  h5::set_real(id, "acc_cross_axis_sd", record.errors.acc_cross_axis_sd);
}

void write_readings(hid_t strap, const StrapRecord& record) {
  const auto size = static_cast<std::size_t>(record.counts.size());
  h5::write_table(strap, "counts", {record.counts.data(), size}, schema::kChannels, {"count"});
  const Handle counts = h5::open_data(strap, "counts");
  h5::set_text(counts.get(), "columns", "ax ay az gx gy gz");
  h5::set_real(counts.get(), "acc_scale", record.acc_scale);
  h5::set_text(counts.get(), "acc_unit", schema::kAccelerationUnit);
  h5::set_real(counts.get(), "gyr_scale", record.gyr_scale);
  h5::set_text(counts.get(), "gyr_unit", schema::kRateUnit);
  if (record.full_scale_count > 0) {
    h5::set_integer(counts.get(), "full_scale_count", record.full_scale_count);
  }
  h5::write_column<std::int64_t>(strap, "tick", record.tick, {"tick"});
  h5::write_column<double>(strap, "time", {record.t.data(), record.tick.size()}, {"s"});
}

void write_strap(hid_t straps, const std::string& name, std::size_t index,
                 const StrapRecord& record) {
  const Handle group = h5::create_group(straps, name);
  const hid_t id = group.get();
  h5::set_text(id, "placement", dsp::to_string(record.placement));
  h5::set_integer(id, "index", static_cast<std::int64_t>(index));
  if (record.device_id != 0) h5::set_unsigned(id, "device_id", record.device_id);
  if (record.firmware_version != 0)
    h5::set_unsigned(id, "firmware_version", record.firmware_version);
  h5::set_real(id, "rate_hz", record.rate_hz);
  h5::set_real(id, "tick_hz", record.tick_hz);
  if (record.clock.seconds_per_tick > 0.0) write_clock(id, record.clock);
  write_link(id, record.link);
  write_errors(id, record);
  write_calibration(id, record.calibration);
  write_readings(id, record);
}

void check_strap(const StrapRecord& strap) {
  const std::string where = dsp::to_string(strap.placement);
  const auto n = strap.counts.cols();
  if (strap.t.size() != n || strap.tick.size() != static_cast<std::size_t>(n)) {
    h5::raise("has " + std::to_string(n) + " samples, " + std::to_string(strap.t.size()) +
                  " times and " + std::to_string(strap.tick.size()) + " ticks",
              where);
  }
  const bool scaled = strap.acc_scale > 0.0 && strap.gyr_scale > 0.0;
  if (!scaled) h5::raise("the scale of a count is not known", where);
  if (!(strap.rate_hz > 0.0) || !(strap.tick_hz > 0.0)) {
    h5::raise("the sample rate or the tick rate is not known", where);
  }
}

void check_complete(const Recording& recording) {
  if (recording.description.client.empty()) h5::raise("the client is not named", {}, "name one");
  if (recording.description.movement.empty())
    h5::raise("the movement is not named", {}, "name one");
  if (recording.straps.empty()) h5::raise("there is no strap to store");
  for (const StrapRecord& strap : recording.straps) check_strap(strap);
}

h5::Bytes to_bytes(const Recording& recording) {
  h5::Image image = h5::Image::create();
  const hid_t root = image.root();
  write_format(root, schema::kRecording);
  set_if(root, "source", recording.source);
  write_set(h5::create_group(root, "set").get(), recording.description);
  write_body(root, recording.body);
  write_parts(root, recording.parts);
  {
    const Handle straps = h5::create_group(root, "straps");
    StrapNames names;
    for (std::size_t i = 0; i < recording.straps.size(); ++i) {
      const StrapRecord& strap = recording.straps[i];
      write_strap(straps.get(), names.next(strap.placement), i, strap);
    }
  }
  if (!recording.truth_json.empty()) {
    const auto* text = reinterpret_cast<const std::uint8_t*>(recording.truth_json.data());
    h5::write_column<std::uint8_t>(root, "truth_json", {text, recording.truth_json.size()}, {});
  }
  return image.finish();
}

}  // namespace

dsp::Result<void> write_recording(const std::filesystem::path& path, const Recording& recording,
                                  Overwrite overwrite) {
  return h5::guarded(path, [&] {
    refuse_to_replace(path, overwrite);
    check_complete(recording);
    write_atomically(path, to_bytes(recording), overwrite);
  });
}

}  // namespace strapline::recordings
