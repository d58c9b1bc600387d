#include "calibration_text.hpp"

#include <charconv>
#include <cmath>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "hdf5/error.hpp"

namespace strapline::recordings {
namespace {

using Eigen::Index;
constexpr std::int64_t kVersion = 1;
constexpr const char* kTodo = "calibrate the strap again, or remove the file";

/// Always with a point or an exponent, so that TOML takes it for a real number.
std::string real(double value) {
  std::string text = fmt::format("{}", value);
  return text.find_first_of(".en") == std::string::npos ? text + ".0" : text;
}

template <class Values>
std::string list(const Values& values) {
  std::string text;
  for (Index i = 0; i < values.size(); ++i) text += (i == 0 ? "" : ", ") + real(values(i));
  return "[" + text + "]";
}

std::string matrix(const Eigen::Matrix3d& m) {
  return fmt::format("[{}, {}, {}]", list(m.row(0)), list(m.row(1)), list(m.row(2)));
}

std::string triad_text(const std::string& name, const std::string& unit,
                       const dsp::TriadCalibration& triad) {
  return fmt::format(
      "\n[{}]  # true = gain * (reading - offset); _u: standard uncertainty; offsets in {}\n"
      "gain = {}\ngain_u = {}\noffset = {}\noffset_u = {}\n",
      name, unit, matrix(triad.gain), matrix(triad.gain_u), list(triad.offset),
      list(triad.offset_u));
}

[[noreturn]] void incomplete(const std::string& name) {
  h5::raise(name + " is missing or of another kind", {}, kTodo);
}

template <class T>
T need(const toml::table& table, const std::string& name) {
  const auto value = table[name].value<T>();
  if (!value) incomplete(name);
  return *value;
}

double need_element(const toml::array& array, std::size_t i, const std::string& name) {
  const auto value = array[i].value<double>();
  if (!value) incomplete(name);
  return *value;
}

const toml::array& need_three(const toml::array* array, const std::string& name) {
  if (array == nullptr || array->size() != 3) incomplete(name);
  return *array;
}

Eigen::Vector3d read_vector(const toml::array* array, const std::string& name) {
  const toml::array& three = need_three(array, name);
  return {need_element(three, 0, name), need_element(three, 1, name), need_element(three, 2, name)};
}

Eigen::Matrix3d read_matrix(const toml::table& table, const std::string& name) {
  const toml::array& rows = need_three(table[name].as_array(), name);
  Eigen::Matrix3d m;
  for (std::size_t i = 0; i < 3; ++i) {
    m.row(static_cast<Index>(i)) = read_vector(rows[i].as_array(), name).transpose();
  }
  return m;
}

dsp::TriadCalibration read_triad(const toml::table& file, const std::string& name) {
  const toml::table* table = file[name].as_table();
  if (table == nullptr) incomplete(name);
  return {read_matrix(*table, "gain"), read_matrix(*table, "gain_u"),
          read_vector((*table)["offset"].as_array(), "offset"),
          read_vector((*table)["offset_u"].as_array(), "offset_u")};
}

std::uint64_t read_device(const toml::table& file) {
  const auto text = need<std::string>(file, "device_id");
  std::uint64_t id = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), id, 16);
  if (error != std::errc() || end != text.data() + text.size()) incomplete("device_id");
  return id;
}

StoredCalibration take(const toml::table& file) {
  if (const auto version = need<std::int64_t>(file, "version"); version > kVersion) {
    h5::raise(
        fmt::format("it is of version {}, newer than this program reads ({})", version, kVersion),
        {}, "use a newer program");
  }
  StoredCalibration stored;
  stored.device_id = read_device(file);
  stored.calibration.made_utc = need<std::string>(file, "made_utc");
  dsp::StrapCalibration& values = stored.calibration.values;
  values.gravity = need<double>(file, "gravity");
  values.poses = static_cast<int>(need<std::int64_t>(file, "poses"));
  values.skew_seen = need<bool>(file, "skew_seen");
  values.turns = static_cast<int>(need<std::int64_t>(file, "turns"));
  values.residual_before = need<double>(file, "residual_before");
  values.residual_after = need<double>(file, "residual_after");
  values.acc = read_triad(file, "acc");
  values.gyr = read_triad(file, "gyr");
  check_calibration(values);
  return stored;
}

}  // namespace

void check_calibration(const dsp::StrapCalibration& values) {
  constexpr double kFarthest = 0.5;  // no working part needs more
  for (const dsp::TriadCalibration* triad : {&values.acc, &values.gyr}) {
    const bool finite = triad->gain.allFinite() && triad->gain_u.allFinite() &&
                        triad->offset.allFinite() && triad->offset_u.allFinite();
    const double off = finite ? (triad->gain - Eigen::Matrix3d::Identity()).cwiseAbs().maxCoeff()
                              : kFarthest + 1.0;
    if (off > kFarthest) h5::raise("a gain or offset is impossible", {}, kTodo);
  }
}

std::string calibration_text(const StoredCalibration& stored) {
  const dsp::StrapCalibration& values = stored.calibration.values;
  std::string text = fmt::format(
      "# Calibration of one strap; written by strapline calibrate. m/s2, rad/s.\n"
      "version = {}\ndevice_id = \"{:016x}\"\nmade_utc = \"{}\"\n",
      kVersion, stored.device_id, stored.calibration.made_utc);
  text += fmt::format("gravity = {}\nposes = {}\nskew_seen = {}\nturns = {}\n",
                      real(values.gravity), values.poses, values.skew_seen, values.turns);
  text += fmt::format("residual_before = {}  # RMS of |f| - gravity over the poses\n",
                      real(values.residual_before));
  text += fmt::format("residual_after = {}\n", real(values.residual_after));
  return text + triad_text("acc", "m/s2", values.acc) + triad_text("gyr", "rad/s", values.gyr);
}

StoredCalibration parse_calibration(const std::string& text) {
  try {
    return take(toml::parse(text));
  } catch (const toml::parse_error& error) {
    h5::raise(fmt::format("line {}: {}", error.source().begin.line, error.description()), {},
              kTodo);
  }
}

}  // namespace strapline::recordings
