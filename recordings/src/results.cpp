#include "strapline/recordings/results.hpp"

#include <algorithm>
#include <span>
#include <utility>

#include "atomic_file.hpp"
#include "file_format.hpp"
#include "hdf5/column.hpp"
#include "hdf5/group.hpp"
#include "measure_table.hpp"
#include "strap_names.hpp"

namespace strapline::recordings {
namespace {

using h5::Handle;

std::span<const double> span_of(const Eigen::VectorXd& values) {
  return {values.data(), static_cast<std::size_t>(values.size())};
}

Eigen::VectorXd vector_of(const std::vector<double>& values) {
  return Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size()));
}

// --- writing ---

void write_traces(hid_t results, const dsp::SetAnalysis& analysis) {
  h5::write_column<double>(results, "time", span_of(analysis.t), {"s"});
  const Handle group = h5::create_group(results, "traces");
  std::int64_t index = 0;
  for (const dsp::Trace& trace : analysis.traces) {
    if (trace.value.size() != analysis.t.size()) {
      h5::raise("the trace does not have the length of the time", trace.name);
    }
    h5::write_column<double>(group.get(), trace.name, span_of(trace.value),
                             {dsp::si_unit(trace.unit)});
    h5::set_integer(h5::open_data(group.get(), trace.name).get(), "index", index++);
  }
}

template <class T, class Get>
void write_rep_column(hid_t group, const std::string& name, const std::vector<dsp::Rep>& reps,
                      const std::string& unit, Get get) {
  std::vector<T> values;
  for (const dsp::Rep& rep : reps) values.push_back(static_cast<T>(get(rep)));
  h5::write_column<T>(group, name, values, {unit});
}

void write_reps(hid_t results, const std::vector<dsp::Rep>& reps) {
  const Handle group = h5::create_group(results, "reps");
  const hid_t id = group.get();
  write_rep_column<double>(id, "start", reps, "s", [](const auto& rep) { return rep.start_s; });
  write_rep_column<double>(id, "turn_in", reps, "s", [](const auto& r) { return r.turn_in_s; });
  write_rep_column<double>(id, "turn_out", reps, "s", [](const auto& r) { return r.turn_out_s; });
  write_rep_column<double>(id, "end", reps, "s", [](const auto& rep) { return rep.end_s; });
  write_rep_column<std::uint8_t>(id, "part", reps, "", [](const auto& rep) { return rep.part; });
  std::vector<std::string> sides;
  for (const dsp::Rep& rep : reps) sides.push_back(dsp::side_name(rep.side));
  h5::write_texts(id, "side", sides, {});
  write_measures(id, reps);
}

/// As a table of one row.
void write_set_measures(hid_t results, const dsp::MeasureMap& measures) {
  const Handle group = h5::create_group(results, "set");
  dsp::Rep row;
  row.measures = measures;
  write_measures(group.get(), {row});
}

void write_clusters(hid_t results, const std::vector<dsp::RepCluster>& clusters) {
  const Handle group = h5::create_group(results, "clusters");
  std::vector<std::int64_t> first, reps;
  std::vector<double> pause;
  for (const dsp::RepCluster& cluster : clusters) {
    first.push_back(static_cast<std::int64_t>(cluster.first) + 1);
    reps.push_back(static_cast<std::int64_t>(cluster.count));
    pause.push_back(cluster.pause_s);
  }
  h5::write_column<std::int64_t>(group.get(), "first_rep", first, {"1"});
  h5::write_column<std::int64_t>(group.get(), "reps", reps, {"1"});
  h5::write_column<double>(group.get(), "pause", pause, {"s"});
}

void write_straps(hid_t results, const std::vector<dsp::StrapReport>& straps) {
  const Handle group = h5::create_group(results, "straps");
  StrapNames names;
  std::int64_t index = 0;
  for (const dsp::StrapReport& strap : straps) {
    const Handle one = h5::create_group(group.get(), names.next(strap.placement));
    h5::set_text(one.get(), "placement", dsp::to_string(strap.placement));
    h5::set_integer(one.get(), "index", index++);
    h5::set_integer(one.get(), "aligned", strap.aligned ? 1 : 0);
    h5::set_if(one.get(), "tilt_rad", strap.tilt);
    h5::set_if(one.get(), "hinge_axis_u_rad", strap.hinge_axis_u);
    if (strap.shift) {
      h5::set_reals(one.get(), "shift_rad", std::array{strap.shift->tilt, strap.shift->u});
    }
    h5::set_reals(one.get(), "gyr_bias_rad_per_s", {strap.gyr_bias.data(), 3});
  }
}

void write_group(hid_t root, const dsp::SetAnalysis& analysis) {
  if (h5::has_child(root, "results")) h5::remove_child(root, "results");
  const Handle results = h5::create_group(root, "results");
  h5::set_if(results.get(), "algorithm", analysis.algorithm);
  h5::set_if(results.get(), "range_trace", analysis.range_trace);
  {
    const Handle parameters = h5::create_group(results.get(), "parameters");
    for (const auto& [name, value] : analysis.parameters) {
      h5::set_real(parameters.get(), name, value);
    }
  }
  write_traces(results.get(), analysis);
  write_reps(results.get(), analysis.reps);
  write_clusters(results.get(), analysis.clusters);
  write_set_measures(results.get(), analysis.measures);
  write_straps(results.get(), analysis.straps);
  h5::write_texts(results.get(), "notes", analysis.notes, {});
}

// --- reading ---

template <class T>
void put_in_order(std::vector<std::pair<std::int64_t, T>>& items, std::vector<T>& out) {
  std::stable_sort(items.begin(), items.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (auto& [index, item] : items) out.push_back(std::move(item));
}

void read_traces(hid_t results, dsp::SetAnalysis& analysis) {
  analysis.t = vector_of(h5::read_column<double>(results, "time", "s"));
  const Handle group = h5::open_group(results, "traces");
  std::vector<std::pair<std::int64_t, dsp::Trace>> traces;
  for (const std::string& name : h5::child_names(group.get())) {
    const std::string where = h5::path_of(group.get(), name);
    dsp::Trace trace;
    trace.name = name;
    trace.value = vector_of(h5::read_column<double>(group.get(), name, {}));
    if (trace.value.size() != analysis.t.size()) {
      h5::raise("does not have the length of the time", where);
    }
    const Handle data = h5::open_data(group.get(), name);
    trace.unit = unit_from_si(h5::need_text(data.get(), "unit"), where);
    traces.emplace_back(h5::find_integer(data.get(), "index").value_or(0), std::move(trace));
  }
  put_in_order(traces, analysis.traces);
}

std::vector<dsp::Rep> read_reps(hid_t results) {
  const Handle group = h5::open_group(results, "reps");
  const hid_t id = group.get();
  const auto start = h5::read_column<double>(id, "start", "s");
  const auto turn_in = h5::read_column<double>(id, "turn_in", "s");
  const auto turn_out = h5::read_column<double>(id, "turn_out", "s");
  const auto end = h5::read_column<double>(id, "end", "s");
  const auto part = h5::read_column<std::uint8_t>(id, "part", {});
  const std::size_t n = start.size();
  if (turn_in.size() != n || turn_out.size() != n || end.size() != n || part.size() != n) {
    h5::raise("the columns differ in length", h5::path_of(id));
  }
  // Files from before 1.2 do not say which side did a rep.
  std::vector<std::string> side(n);
  if (h5::has_child(id, "side")) side = h5::read_texts(id, "side");
  if (side.size() != n) h5::raise("the columns differ in length", h5::path_of(id));
  std::vector<dsp::Rep> reps;
  for (std::size_t i = 0; i < n; ++i) {
    reps.push_back({start[i],
                    turn_in[i],
                    turn_out[i],
                    end[i],
                    part[i] != 0,
                    {},
                    dsp::side_from_name(side[i])});
  }
  read_measures(id, reps);
  return reps;
}

dsp::MeasureMap read_set_measures(hid_t results) {
  if (!h5::has_child(results, "set")) return {};  // written before 1.2
  const Handle group = h5::open_group(results, "set");
  std::vector<dsp::Rep> row(1);
  read_measures(group.get(), row);
  return std::move(row.front().measures);
}

std::vector<dsp::RepCluster> read_clusters(hid_t results, const std::vector<dsp::Rep>& reps) {
  if (!h5::has_child(results, "clusters")) return dsp::clusters_of(reps);  // written before 1.4
  const Handle group = h5::open_group(results, "clusters");
  const hid_t id = group.get();
  const auto first = h5::read_column<std::int64_t>(id, "first_rep", "1");
  const auto count = h5::read_column<std::int64_t>(id, "reps", "1");
  const auto pause = h5::read_column<double>(id, "pause", "s");
  if (count.size() != first.size() || pause.size() != first.size()) {
    h5::raise("the columns differ in length", h5::path_of(id));
  }
  std::vector<dsp::RepCluster> clusters;
  std::size_t next = 0;
  for (std::size_t i = 0; i < first.size(); ++i) {
    // A negative number becomes too great.
    const auto begin = static_cast<std::size_t>(first[i] - 1);
    const auto reps_in_it = static_cast<std::size_t>(count[i]);
    if (begin != next || reps_in_it > reps.size() - next) {
      h5::raise("the clusters do not follow one another through the reps", h5::path_of(id));
    }
    clusters.push_back({begin, reps_in_it, pause[i]});
    next += reps_in_it;
  }
  if (next != reps.size()) h5::raise("leaves reps out", h5::path_of(id));
  return clusters;
}

dsp::StrapReport read_strap_report(hid_t strap) {
  const std::string where = h5::path_of(strap);
  const auto placement = dsp::placement_from_string(h5::need_text(strap, "placement"));
  if (!placement) h5::raise("unknown placement", where);
  dsp::StrapReport report;
  report.placement = *placement;
  report.aligned = h5::need_integer(strap, "aligned") != 0;
  report.tilt = h5::find_real(strap, "tilt_rad");
  report.hinge_axis_u = h5::find_real(strap, "hinge_axis_u_rad");
  if (const auto bias = h5::find_reals(strap, "gyr_bias_rad_per_s")) {
    if (bias->size() != 3) h5::raise("gyr_bias_rad_per_s does not have three values", where);
    report.gyr_bias = Eigen::Vector3d((*bias)[0], (*bias)[1], (*bias)[2]);
  }
  if (const auto shift = h5::find_reals(strap, "shift_rad")) {
    if (shift->size() != 2) h5::raise("shift_rad does not have two values", where);
    report.shift = dsp::StrapShift{(*shift)[0], (*shift)[1]};
  }
  return report;
}

std::vector<dsp::StrapReport> read_straps(hid_t results) {
  const Handle group = h5::open_group(results, "straps");
  std::vector<std::pair<std::int64_t, dsp::StrapReport>> straps;
  for (const std::string& name : h5::child_names(group.get())) {
    const Handle strap = h5::open_group(group.get(), name);
    straps.emplace_back(h5::find_integer(strap.get(), "index").value_or(0),
                        read_strap_report(strap.get()));
  }
  std::vector<dsp::StrapReport> ordered;
  put_in_order(straps, ordered);
  return ordered;
}

dsp::SetAnalysis read_group(hid_t root) {
  check_format(root, schema::kRecording, "a recording");
  if (!h5::has_child(root, "results")) {
    h5::raise("holds no results yet", {}, "review the recording first");
  }
  const Handle results = h5::open_group(root, "results");
  dsp::SetAnalysis analysis;
  analysis.algorithm = h5::find_text(results.get(), "algorithm").value_or("");
  analysis.range_trace = h5::find_text(results.get(), "range_trace").value_or("");
  const Handle parameters = h5::open_group(results.get(), "parameters");
  for (const std::string& name : h5::attribute_names(parameters.get())) {
    analysis.parameters[name] = h5::need_real(parameters.get(), name);
  }
  read_traces(results.get(), analysis);
  analysis.reps = read_reps(results.get());
  analysis.clusters = read_clusters(results.get(), analysis.reps);
  analysis.measures = read_set_measures(results.get());
  analysis.straps = read_straps(results.get());
  analysis.notes = h5::read_texts(results.get(), "notes");
  return analysis;
}

}  // namespace

dsp::Result<void> write_results(const std::filesystem::path& recording,
                                const dsp::SetAnalysis& analysis) {
  return h5::guarded(recording, [&] {
    h5::Image copy = h5::Image::open(read_whole(recording), h5::Image::Access::write);
    check_format(copy.root(), schema::kRecording, "a recording");
    write_group(copy.root(), analysis);
    write_atomically(recording, copy.finish(), Overwrite::yes);
  });
}

dsp::Result<dsp::SetAnalysis> read_results(const std::filesystem::path& recording) {
  return h5::guarded(recording, [&] {
    const h5::Image image = h5::Image::open(read_whole(recording), h5::Image::Access::read);
    return read_group(image.root());
  });
}

}  // namespace strapline::recordings
