#include "recording_reader.hpp"

#include <algorithm>
#include <utility>

#include "strapline/recordings/recording_file.hpp"

#include "atomic_file.hpp"
#include "description_group.hpp"
#include "file_format.hpp"
#include "hdf5/column.hpp"
#include "hdf5/group.hpp"
#include "strap_calibration.hpp"

namespace strapline::recordings {
namespace {

using h5::Handle;

dsp::BodyDimensions read_body(hid_t root) {
  dsp::BodyDimensions body;
  if (!h5::has_child(root, "body")) return body;
  const Handle group = h5::open_group(root, "body");
  const hid_t id = group.get();
  body.height = h5::find_real(id, "height_m");
  body.thigh = h5::find_real(id, "thigh_m");
  body.shank = h5::find_real(id, "shank_m");
  body.foot = h5::find_real(id, "foot_m");
  body.upper_arm = h5::find_real(id, "upper_arm_m");
  body.forearm = h5::find_real(id, "forearm_m");
  body.soft_tissue_thigh = h5::find_real(id, "soft_tissue_thigh_rad");
  body.soft_tissue_limb = h5::find_real(id, "soft_tissue_limb_rad");
  body.standing_lean = h5::find_real(id, "standing_lean_rad");
  body.toe_line = h5::find_real(id, "toe_line_rad");
  body.hinge_square = h5::find_real(id, "hinge_square_rad");
  body.raise_plane = h5::find_real(id, "raise_plane_rad");
  body.bow_plane = h5::find_real(id, "bow_plane_rad");
  return body;
}

std::optional<dsp::Interval> read_part(hid_t group, const std::string& name) {
  const auto borders = h5::find_reals(group, name);
  if (!borders) return std::nullopt;
  if (borders->size() != 2) h5::raise("the attribute " + name + " is not [from, to]", "/parts");
  return dsp::Interval{(*borders)[0], (*borders)[1]};
}

dsp::RecordingParts read_parts(hid_t root) {
  if (!h5::has_child(root, "parts")) return {};
  const Handle group = h5::open_group(root, "parts");
  return {read_part(group.get(), "still_s"), read_part(group.get(), "align_s"),
          read_part(group.get(), "set_s"), read_part(group.get(), "still_after_s")};
}

ClockFit read_clock(hid_t strap) {
  if (!h5::has_child(strap, "clock")) return {};
  const Handle group = h5::open_group(strap, "clock");
  const hid_t id = group.get();
  return {h5::need_real(id, "offset_s"), h5::need_real(id, "seconds_per_tick"),
          h5::find_real(id, "offset_u_s").value_or(0.0),
          h5::find_real(id, "skew_ppm").value_or(0.0)};
}

LinkCounts read_link(hid_t strap) {
  if (!h5::has_child(strap, "link")) return {};
  const Handle group = h5::open_group(strap, "link");
  const auto count = [&](const char* name) {
    return h5::find_unsigned(group.get(), name).value_or(0);
  };
  return {count("batches"), count("lost"),           count("resent"),          count("corrupt"),
          count("late"),    count("device_dropped"), count("device_saturated")};
}

void read_sensor(hid_t strap, StrapRecord& record) {
  if (!h5::has_child(strap, "sensor")) return;
  const Handle group = h5::open_group(strap, "sensor");
  const auto value = [&](const char* name, double& target) {
    target = h5::find_real(group.get(), name).value_or(target);
  };
  record.part_name = h5::find_text(group.get(), "part_name").value_or("");
  value("gyr_noise_density", record.errors.gyr_noise_density);
  value("acc_noise_density", record.errors.acc_noise_density);
  value("gyr_bias_sd", record.errors.gyr_bias_sd);
  value("acc_bias_sd", record.errors.acc_bias_sd);
  value("reading_lag_s", record.errors.reading_lag);
  value("gyr_gain_sd", record.errors.gyr_gain_sd);
  value("acc_cross_axis_sd", record.errors.acc_cross_axis_sd);
}

double need_positive(hid_t object, const std::string& name) {
  const double value = h5::need_real(object, name);
  if (!(value > 0.0)) {
    h5::raise("the attribute " + name + " is not above zero", h5::path_of(object));
  }
  return value;
}

void need_unit(hid_t object, const std::string& name, const std::string& unit) {
  const std::string found = h5::need_text(object, name);
  if (found != unit) {
    h5::raise("the attribute " + name + " is \"" + found + "\", not \"" + unit + "\"",
              h5::path_of(object));
  }
}

void read_scales(hid_t strap, StrapRecord& record) {
  const Handle counts = h5::open_data(strap, "counts");
  const hid_t id = counts.get();
  record.acc_scale = need_positive(id, "acc_scale");
  record.gyr_scale = need_positive(id, "gyr_scale");
  need_unit(id, "acc_unit", schema::kAccelerationUnit);
  need_unit(id, "gyr_unit", schema::kRateUnit);
  record.full_scale_count =
      static_cast<std::int32_t>(h5::find_integer(id, "full_scale_count").value_or(0));
}

void read_readings(hid_t strap, StrapRecord& record) {
  const auto counts = h5::read_table(strap, "counts", schema::kChannels);
  record.tick = h5::read_column<std::int64_t>(strap, "tick", "tick");
  const auto time = h5::read_column<double>(strap, "time", "s");
  const std::size_t n = counts.size() / schema::kChannels;
  if (record.tick.size() != n || time.size() != n) {
    h5::raise("counts has " + std::to_string(n) + " rows, tick " +
                  std::to_string(record.tick.size()) + ", time " + std::to_string(time.size()),
              h5::path_of(strap));
  }
  const auto columns = static_cast<Eigen::Index>(n);
  record.counts = Eigen::Map<const Counts>(counts.data(), 6, columns);
  record.t = Eigen::Map<const Eigen::VectorXd>(time.data(), columns);
}

dsp::Placement read_placement(hid_t strap) {
  const std::string name = h5::need_text(strap, "placement");
  const auto placement = dsp::placement_from_string(name);
  if (!placement) h5::raise("unknown placement \"" + name + "\"", h5::path_of(strap));
  return *placement;
}

std::string read_truth(hid_t root) {
  if (!h5::has_child(root, "truth_json")) return {};
  const auto bytes = h5::read_column<std::uint8_t>(root, "truth_json", {});
  return {bytes.begin(), bytes.end()};
}

}  // namespace

std::vector<std::string> strap_names(hid_t root) {
  const Handle straps = h5::open_group(root, "straps");
  std::vector<std::pair<std::int64_t, std::string>> ordered;
  for (const std::string& name : h5::child_names(straps.get())) {
    if (name.starts_with(schema::kForeign) || !h5::is_group(straps.get(), name)) continue;
    const Handle strap = h5::open_group(straps.get(), name);
    const auto last = static_cast<std::int64_t>(ordered.size());
    ordered.emplace_back(h5::find_integer(strap.get(), "index").value_or(last), name);
  }
  std::sort(ordered.begin(), ordered.end());
  std::vector<std::string> names;
  for (const auto& [index, name] : ordered) names.push_back(name);
  return names;
}

StrapRecord read_strap(hid_t root, const std::string& name) {
  const Handle straps = h5::open_group(root, "straps");
  const Handle group = h5::open_group(straps.get(), name);
  const hid_t id = group.get();
  StrapRecord record;
  record.placement = read_placement(id);
  record.device_id = h5::find_unsigned(id, "device_id").value_or(0);
  record.firmware_version =
      static_cast<std::uint32_t>(h5::find_unsigned(id, "firmware_version").value_or(0));
  record.rate_hz = need_positive(id, "rate_hz");
  record.tick_hz = need_positive(id, "tick_hz");
  record.clock = read_clock(id);
  record.link = read_link(id);
  read_sensor(id, record);
  record.calibration = read_calibration(id);
  read_readings(id, record);
  read_scales(id, record);
  return record;
}

Recording read_description(hid_t root) {
  check_format(root, schema::kRecording, "a recording");
  Recording recording;
  recording.source = h5::find_text(root, "source").value_or("");
  recording.description = read_set(h5::open_group(root, "set").get());
  recording.body = read_body(root);
  recording.parts = read_parts(root);
  recording.truth_json = read_truth(root);
  return recording;
}

dsp::Result<Recording> read_recording(const std::filesystem::path& path) {
  return h5::guarded(path, [&] {
    const h5::Image image = h5::Image::open(read_whole(path), h5::Image::Access::read);
    Recording recording = read_description(image.root());
    for (const std::string& name : strap_names(image.root())) {
      recording.straps.push_back(read_strap(image.root(), name));
    }
    if (recording.straps.empty()) h5::raise("holds no strap", "/straps");
    return recording;
  });
}

}  // namespace strapline::recordings
