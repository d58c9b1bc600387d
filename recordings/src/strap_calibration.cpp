#include "strap_calibration.hpp"

#include <array>
#include <span>
#include <string>
#include <vector>

#include "calibration_text.hpp"
#include "hdf5/attribute.hpp"
#include "hdf5/group.hpp"
#include "schema.hpp"

namespace strapline::recordings {
namespace {

using Rows = Eigen::Matrix<double, 3, 3, Eigen::RowMajor>;

void set_matrix(hid_t group, const std::string& name, const Eigen::Matrix3d& m) {
  const Rows rows = m;
  h5::set_reals(group, name, std::span<const double>(rows.data(), 9));
}

void set_vector(hid_t group, const std::string& name, const Eigen::Vector3d& v) {
  h5::set_reals(group, name, std::span<const double>(v.data(), 3));
}

std::vector<double> need_reals(hid_t group, const std::string& name, std::size_t n) {
  auto values = h5::find_reals(group, name);
  if (!values || values->size() != n) {
    h5::raise("the attribute " + name + " is missing or not of " + std::to_string(n) + " numbers",
              h5::path_of(group));
  }
  return std::move(*values);
}

void write_triad(hid_t group, const std::string& name, const char* unit,
                 const dsp::TriadCalibration& triad) {
  set_matrix(group, name + "_gain", triad.gain);
  set_matrix(group, name + "_gain_u", triad.gain_u);
  set_vector(group, name + "_offset", triad.offset);
  set_vector(group, name + "_offset_u", triad.offset_u);
  h5::set_text(group, name + "_offset_unit", unit);
}

dsp::TriadCalibration read_triad(hid_t group, const std::string& name) {
  const auto matrix = [&](const std::string& what) -> Eigen::Matrix3d {
    return Eigen::Map<const Rows>(need_reals(group, name + what, 9).data());
  };
  const auto vector = [&](const std::string& what) -> Eigen::Vector3d {
    return Eigen::Map<const Eigen::Vector3d>(need_reals(group, name + what, 3).data());
  };
  return {matrix("_gain"), matrix("_gain_u"), vector("_offset"), vector("_offset_u")};
}

}  // namespace

void write_calibration(hid_t strap, const std::optional<DatedCalibration>& calibration) {
  if (!calibration) return;
  const h5::Handle group = h5::create_group(strap, "calibration");
  const hid_t id = group.get();
  const dsp::StrapCalibration& values = calibration->values;
  h5::set_text(id, "made_utc", calibration->made_utc);
  h5::set_real(id, "gravity", values.gravity);
  h5::set_text(id, "gravity_unit", schema::kAccelerationUnit);
  h5::set_integer(id, "poses", values.poses);
  h5::set_integer(id, "skew_seen", values.skew_seen ? 1 : 0);
  h5::set_integer(id, "turns", values.turns);
  h5::set_reals(id, "residual",
                std::array<double, 2>{values.residual_before, values.residual_after});
  h5::set_text(id, "residual_unit", schema::kAccelerationUnit);
  write_triad(id, "acc", schema::kAccelerationUnit, values.acc);
  write_triad(id, "gyr", schema::kRateUnit, values.gyr);
}

std::optional<DatedCalibration> read_calibration(hid_t strap) {
  if (!h5::has_child(strap, "calibration")) return std::nullopt;
  const h5::Handle group = h5::open_group(strap, "calibration");
  const hid_t id = group.get();
  DatedCalibration dated;
  dated.made_utc = h5::need_text(id, "made_utc");
  dsp::StrapCalibration& values = dated.values;
  values.gravity = h5::need_real(id, "gravity");
  values.poses = static_cast<int>(h5::need_integer(id, "poses"));
  values.skew_seen = h5::need_integer(id, "skew_seen") != 0;
  values.turns = static_cast<int>(h5::need_integer(id, "turns"));
  const std::vector<double> residual = need_reals(id, "residual", 2);
  values.residual_before = residual[0];
  values.residual_after = residual[1];
  values.acc = read_triad(id, "acc");
  values.gyr = read_triad(id, "gyr");
  check_calibration(values);
  return dated;
}

}  // namespace strapline::recordings
