#include "sample.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <limits>
#include <variant>

#include <unistd.h>

#include "atomic_file.hpp"

namespace strapline::recordings::testing {
namespace {

StrapRecord strap(dsp::Placement placement, Eigen::Index n, double rate_hz, std::uint64_t id) {
  StrapRecord strap;
  strap.placement = placement;
  strap.device_id = id;
  strap.firmware_version = 0x010203;
  strap.rate_hz = rate_hz;
  strap.tick_hz = 32768.0;
  strap.acc_scale = 9.80665 / 4096.0;
  strap.gyr_scale = 0.07 * 3.14159265358979 / 180.0;
  strap.full_scale_count = 32767;
  strap.counts.resize(6, n);
  strap.t.resize(n);
  strap.clock = {12.25, 1.0 / 32768.4, 0.0007, -12.2};
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index row = 0; row < 6; ++row) {
      strap.counts(row, i) = static_cast<std::int32_t>((1000 * row - 7 * i * i) % 30000);
    }
    strap.tick.push_back(
        static_cast<std::int64_t>(std::llround(32768.0 * static_cast<double>(i) / rate_hz)) +
        (std::int64_t{1} << 40));
    strap.t[i] = strap.clock.offset_s +
                 static_cast<double>(strap.tick.back()) * strap.clock.seconds_per_tick;
  }
  return strap;
}

bool same(const StrapRecord& a, const StrapRecord& b) {
  const auto numbers = [](const StrapRecord& s) {
    return std::vector<double>{s.rate_hz,
                               s.tick_hz,
                               s.acc_scale,
                               s.gyr_scale,
                               s.clock.offset_s,
                               s.clock.seconds_per_tick,
                               s.clock.offset_u_s,
                               s.clock.skew_ppm,
                               s.errors.gyr_noise_density,
                               s.errors.acc_noise_density,
                               s.errors.gyr_bias_sd,
                               s.errors.acc_bias_sd,
                               s.errors.reading_lag,
                               s.errors.gyr_gain_sd,
                               s.errors.acc_cross_axis_sd};
  };
  const auto links = [](const StrapRecord& s) {
    return std::vector<std::uint64_t>{s.device_id, s.firmware_version,    s.link.batches,
                                      s.link.lost, s.link.resent,         s.link.corrupt,
                                      s.link.late, s.link.device_dropped, s.link.device_saturated};
  };
  return a.placement == b.placement && numbers(a) == numbers(b) && links(a) == links(b) &&
         a.full_scale_count == b.full_scale_count && a.part_name == b.part_name &&
         a.counts.cols() == b.counts.cols() && a.counts == b.counts && a.tick == b.tick &&
         a.t.size() == b.t.size() && a.t == b.t;
}

bool same(const std::optional<dsp::Interval>& a, const std::optional<dsp::Interval>& b) {
  return a.has_value() == b.has_value() && (!a || (a->from_s == b->from_s && a->to_s == b->to_s));
}

bool same(const SetDescription& a, const SetDescription& b) {
  return a.client == b.client && a.movement == b.movement && a.variation == b.variation &&
         a.kit == b.kit && a.started_utc == b.started_utc && a.load_kg == b.load_kg &&
         a.effort_rpe == b.effort_rpe && a.reps_in_reserve == b.reps_in_reserve &&
         a.pain == b.pain && a.pain_place == b.pain_place && a.notes == b.notes;
}

bool same(const dsp::BodyDimensions& a, const dsp::BodyDimensions& b) {
  return a.height == b.height && a.thigh == b.thigh && a.shank == b.shank && a.foot == b.foot &&
         a.upper_arm == b.upper_arm && a.forearm == b.forearm &&
         a.soft_tissue_thigh == b.soft_tissue_thigh && a.soft_tissue_limb == b.soft_tissue_limb &&
         a.standing_lean == b.standing_lean && a.toe_line == b.toe_line &&
         a.hinge_square == b.hinge_square && a.raise_plane == b.raise_plane &&
         a.bow_plane == b.bow_plane;
}

bool same(const dsp::Measure& a, const dsp::Measure& b) {
  if (a.index() != b.index()) return false;
  if (const auto* absent = std::get_if<dsp::NotMeasured>(&a)) {
    return absent->reason == std::get<dsp::NotMeasured>(b).reason;
  }
  const auto& x = std::get<dsp::MeasuredValue>(a);
  const auto& y = std::get<dsp::MeasuredValue>(b);
  return x.value == y.value && x.u == y.u && x.unit == y.unit;
}

bool same(const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  if (a.size() != b.size()) return false;
  for (Eigen::Index i = 0; i < a.size(); ++i) {
    if (a[i] != b[i] && !(std::isnan(a[i]) && std::isnan(b[i]))) return false;
  }
  return true;
}

}  // namespace

Folder::Folder() {
  std::string name = (std::filesystem::temp_directory_path() / "strapline_XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) std::abort();
  path_ = name;
}

Folder::~Folder() { std::filesystem::remove_all(path_); }

std::vector<std::string> Folder::names() const {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(path_)) {
    names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

Recording full_recording() {
  Recording r;
  r.description = {"winch operator",
                   "squat",
                   "feet wide",
                   "two straps, elastic",
                   "2026-11-25T08:00:00Z",
                   62.5,
                   8.5,
                   1.0,
                   0.0,
                   "left knee",
                   "slow – felt “good”, ça va"};
  r.body = {1.78, 0.43, 0.44, 0.27, 0.33, 0.26, 0.05, 0.03, 0.02, 0.03, 0.04, 0.01, 0.06};
  r.straps.push_back(
      strap({dsp::Segment::thigh, dsp::Side::left}, 213, 104.0, 0xFEDCBA9876543210ULL));
  r.straps.push_back(strap({dsp::Segment::chest, dsp::Side::middle}, 97, 50.0, 7));
  const double from = r.straps[0].t[0];
  r.parts.still = dsp::Interval{from + 0.1, from + 0.6};
  r.parts.align = dsp::Interval{from + 0.6, from + 0.9};
  r.parts.set = dsp::Interval{from + 0.9, from + 1.6};
  r.parts.still_after = dsp::Interval{from + 1.6, from + 1.9};
  r.straps[0].link = {100, 3, 2, 1, 4, 5, 6};
  r.straps[0].part_name = "six-axis part A";
  r.straps[0].errors = {1e-4, 1e-3, 0.01, 0.1, 0.0025, 0.004, 0.002};
  r.source = "synthetic";
  r.truth_json = R"({"reps": [1, 2, 3]})";
  return r;
}

Recording bare_recording() {
  Recording r;
  r.description.client = "medic";
  r.source = "imported";
  StrapRecord s = strap({dsp::Segment::other, dsp::Side::middle}, 11, 25.0, 0);
  s.firmware_version = 0;
  s.full_scale_count = 0;
  s.clock = {};
  r.straps.push_back(s);
  return r;
}

dsp::SetAnalysis sample_analysis() {
  using dsp::MeasuredValue, dsp::NotMeasured, dsp::Unit;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  dsp::SetAnalysis a;
  a.algorithm = "squat 0.1";
  a.parameters = {{"low_pass_hz", 6.0}, {"onset_share", 0.05}};
  a.t = Eigen::VectorXd::LinSpaced(5, 0.0, 0.4);
  a.range_trace = "thigh_depth";
  a.traces.push_back({"thigh_depth", Unit::radian, Eigen::VectorXd::LinSpaced(5, -1.5, 0.1)});
  a.traces.push_back({"knee_travel_left", Unit::metre, Eigen::VectorXd::LinSpaced(5, 0, 0.1)});
  a.traces[1].value[2] = nan;
  const NotMeasured none{"no foot length; give the height"};
  a.reps.push_back({1.0,
                    2.0,
                    2.5,
                    3.5,
                    false,
                    {{"thigh_depth_left", MeasuredValue{0.10, 0.03, Unit::radian}},
                     {"knee_travel_left", none},
                     {"lowering_s", MeasuredValue{1.0, 0.04, Unit::second}}}});
  a.reps.push_back({4.0,
                    5.0,
                    5.5,
                    6.5,
                    false,
                    {{"thigh_depth_left", MeasuredValue{0.30, 0.04, Unit::radian}},
                     {"knee_travel_left", MeasuredValue{-0.02, 0.01, Unit::metre}}}});
  a.reps.push_back(
      {7.0, 7.5, 7.6, 8.0, true, {{"thigh_depth_left", MeasuredValue{-0.9, 0.03, Unit::radian}}}});
  a.reps[0].side = dsp::Side::left;
  a.reps[1].side = dsp::Side::right;
  a.clusters = {{0, 2, 0.0}, {2, 1, 12.5}};
  a.measures = {{"velocity_loss", MeasuredValue{0.12, 0.03, Unit::one}},
                {"knee_travel_difference", none}};
  a.straps.push_back({{dsp::Segment::thigh, dsp::Side::left},
                      true,
                      0.1,
                      0.02,
                      {1e-3, -2e-3, 3e-3},
                      dsp::StrapShift{0.01, 0.03}});
  a.straps.push_back({{dsp::Segment::chest, dsp::Side::middle}, false, {}, {}, {0, 0, 0}, {}});
  a.notes = {"no still part: the first second was taken", "ü"};
  return a;
}

bool same(const Recording& a, const Recording& b) {
  const auto straps_same = [&] {
    return std::equal(a.straps.begin(), a.straps.end(), b.straps.begin(), b.straps.end(),
                      [](const auto& x, const auto& y) { return same(x, y); });
  };
  return same(a.description, b.description) && same(a.body, b.body) &&
         same(a.parts.still, b.parts.still) && same(a.parts.align, b.parts.align) &&
         same(a.parts.set, b.parts.set) && same(a.parts.still_after, b.parts.still_after) &&
         a.source == b.source && a.truth_json == b.truth_json && straps_same();
}

void expect_equal(const Recording& a, const Recording& b) {
  EXPECT_TRUE(same(a.description, b.description));
  EXPECT_TRUE(same(a.body, b.body));
  EXPECT_EQ(a.truth_json, b.truth_json);
  EXPECT_EQ(a.source, b.source);
  ASSERT_EQ(a.straps.size(), b.straps.size());
  for (std::size_t i = 0; i < a.straps.size(); ++i)
    EXPECT_TRUE(same(a.straps[i], b.straps[i])) << i;
  EXPECT_TRUE(same(a, b));
}

void expect_equal(const std::vector<dsp::Rep>& a, const std::vector<dsp::Rep>& b) {
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    EXPECT_EQ(a[i].start_s, b[i].start_s);
    EXPECT_EQ(a[i].turn_in_s, b[i].turn_in_s);
    EXPECT_EQ(a[i].turn_out_s, b[i].turn_out_s);
    EXPECT_EQ(a[i].end_s, b[i].end_s);
    EXPECT_EQ(a[i].part, b[i].part);
    EXPECT_EQ(a[i].side, b[i].side);
    ASSERT_EQ(a[i].measures.size(), b[i].measures.size());
    for (const auto& [name, measure] : a[i].measures) {
      ASSERT_TRUE(b[i].measures.contains(name)) << name;
      EXPECT_TRUE(same(measure, b[i].measures.at(name))) << name;
    }
  }
}

void expect_equal(const std::vector<dsp::RepCluster>& a, const std::vector<dsp::RepCluster>& b) {
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    EXPECT_EQ(a[i].first, b[i].first);
    EXPECT_EQ(a[i].count, b[i].count);
    EXPECT_EQ(a[i].pause_s, b[i].pause_s);
  }
}

void expect_equal(const dsp::MeasureMap& a, const dsp::MeasureMap& b) {
  ASSERT_EQ(a.size(), b.size());
  for (const auto& [name, measure] : a) {
    ASSERT_TRUE(b.contains(name)) << name;
    EXPECT_TRUE(same(measure, b.at(name))) << name;
  }
}

void expect_equal(const dsp::SetAnalysis& a, const dsp::SetAnalysis& b) {
  EXPECT_EQ(a.algorithm, b.algorithm);
  EXPECT_EQ(a.parameters, b.parameters);
  EXPECT_TRUE(same(a.t, b.t));
  EXPECT_EQ(a.range_trace, b.range_trace);
  ASSERT_EQ(a.traces.size(), b.traces.size());
  for (std::size_t i = 0; i < a.traces.size(); ++i) {
    EXPECT_EQ(a.traces[i].name, b.traces[i].name);
    EXPECT_EQ(a.traces[i].unit, b.traces[i].unit);
    EXPECT_TRUE(same(a.traces[i].value, b.traces[i].value));
  }
  expect_equal(a.reps, b.reps);
  expect_equal(a.clusters, b.clusters);
  expect_equal(a.measures, b.measures);
  ASSERT_EQ(a.straps.size(), b.straps.size());
  for (std::size_t i = 0; i < a.straps.size(); ++i) {
    EXPECT_EQ(a.straps[i].placement, b.straps[i].placement);
    EXPECT_EQ(a.straps[i].aligned, b.straps[i].aligned);
    EXPECT_EQ(a.straps[i].tilt, b.straps[i].tilt);
    EXPECT_EQ(a.straps[i].hinge_axis_u, b.straps[i].hinge_axis_u);
    EXPECT_EQ(a.straps[i].gyr_bias, b.straps[i].gyr_bias);
    ASSERT_EQ(a.straps[i].shift.has_value(), b.straps[i].shift.has_value());
    if (!a.straps[i].shift) continue;
    EXPECT_EQ(a.straps[i].shift->tilt, b.straps[i].shift->tilt);
    EXPECT_EQ(a.straps[i].shift->u, b.straps[i].shift->u);
  }
  EXPECT_EQ(a.notes, b.notes);
}

h5::Bytes bytes_of(const std::filesystem::path& file) { return read_whole(file); }

void put(const std::filesystem::path& file, const h5::Bytes& bytes) {
  // A new file each time: some file systems sync a file that is truncated and written again.
  std::filesystem::remove(file);
  std::ofstream out(file, std::ios::binary);
  out.write(reinterpret_cast<const char*>(bytes.data()),
            static_cast<std::streamsize>(bytes.size()));
  if (!out.flush()) std::abort();
}

void put(const std::filesystem::path& file, const std::string& text) {
  std::ofstream out(file, std::ios::binary);
  out << text;
  if (!out.flush()) std::abort();
}

void change_file(const std::filesystem::path& file, const std::function<void(hid_t)>& change) {
  const auto done = h5::guarded(file, [&] {
    h5::Image image = h5::Image::open(read_whole(file), h5::Image::Access::write);
    change(image.root());
    put(file, image.finish());
  });
  ASSERT_TRUE(done) << done.error().line();
}

}  // namespace strapline::recordings::testing
