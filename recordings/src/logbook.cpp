#include "strapline/recordings/logbook.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>
#include <tuple>
#include <variant>

#include "strapline/recordings/recording_file.hpp"

#include "atomic_file.hpp"
#include "hdf5/file_in_place.hpp"
#include "logbook_reader.hpp"
#include "logbook_writer.hpp"

namespace strapline::recordings {
namespace {

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*std::max_element(values.begin(), middle) + *middle) / 2.0;
}

MeasureSummary summary_of(const std::vector<dsp::MeasuredValue>& measured) {
  MeasureSummary summary;
  summary.n = static_cast<int>(measured.size());
  summary.unit = measured.front().unit;
  const double n = summary.n;
  std::vector<double> values;
  double u_squared = 0.0;
  for (const auto& one : measured) {
    values.push_back(one.value);
    summary.mean += one.value / n;
    u_squared += one.u * one.u / n;
  }
  summary.u = std::sqrt(u_squared);
  summary.median = median_of(values);
  if (values.size() < 2) return summary;
  double squares = 0.0;
  for (const double value : values) squares += (value - summary.mean) * (value - summary.mean);
  summary.sd = std::sqrt(squares / (n - 1.0));
  return summary;
}

LogbookPart everything() { return {every_set, every_set}; }

Logbook read(const std::filesystem::path& path, const LogbookPart& part) {
  return logbook_from(h5::FileInPlace::open(path).root(), part);
}

void check_client(const Logbook& logbook, const SetDescription& description) {
  if (logbook.client == description.client) return;
  h5::raise("is the logbook of " + logbook.client + ", not of " + description.client, {},
            "choose the client's own logbook");
}

}  // namespace

std::map<std::string, MeasureSummary> summarise(const std::vector<dsp::Rep>& reps) {
  std::map<std::string, std::vector<dsp::MeasuredValue>> measured;
  for (const dsp::Rep& rep : reps) {
    if (rep.part) continue;
    for (const auto& [name, measure] : rep.measures) {
      if (const auto* value = std::get_if<dsp::MeasuredValue>(&measure)) {
        measured[name].push_back(*value);
      }
    }
  }
  std::map<std::string, MeasureSummary> summaries;
  for (const auto& [name, values] : measured) summaries[name] = summary_of(values);
  return summaries;
}

LoggedSet make_logged_set(const Recording& recording, const std::filesystem::path& file,
                          const dsp::SetAnalysis& analysis) {
  LoggedSet set;
  set.set_id = set_id(recording);
  set.file = file.filename().string();
  set.source = recording.source;
  set.algorithm = analysis.algorithm;
  set.description = recording.description;
  set.reps = analysis.reps;
  set.part_reps = static_cast<int>(std::count_if(set.reps.begin(), set.reps.end(),
                                                 [](const dsp::Rep& rep) { return rep.part; }));
  set.full_reps = static_cast<int>(set.reps.size()) - set.part_reps;
  set.measures = summarise(set.reps);
  set.as_whole = analysis.measures;
  set.clusters = analysis.clusters;
  return set;
}

namespace {

auto key(const LoggedSet& set) { return std::tie(set.description.started_utc, set.set_id); }

bool is_before(const LoggedSet& a, const LoggedSet& b) { return key(a) < key(b); }

void put_in_order(Logbook& logbook) {
  std::sort(logbook.sets.begin(), logbook.sets.end(), is_before);
  std::set<std::string_view> ids;
  for (const LoggedSet& set : logbook.sets) {
    if (!ids.insert(set.set_id).second) h5::raise("the set " + set.set_id + " comes twice");
    check_client(logbook, set.description);
  }
}

}  // namespace

bool insert_in_order(Logbook& logbook, const LoggedSet& set) {
  for (const LoggedSet& present : logbook.sets) {
    if (present.set_id == set.set_id) return false;
  }
  const auto place = std::upper_bound(logbook.sets.begin(), logbook.sets.end(), set, is_before);
  logbook.sets.insert(place, set);
  return true;
}

std::vector<bool> every_set(const std::vector<LoggedSet>& headlines) {
  return std::vector<bool>(headlines.size(), true);
}

LogbookPart::Choice sets_where(std::function<bool(const LoggedSet&)> accepts) {
  return [accepts = std::move(accepts)](const std::vector<LoggedSet>& headlines) {
    std::vector<bool> chosen;
    for (const LoggedSet& set : headlines) chosen.push_back(accepts(set));
    return chosen;
  };
}

dsp::Result<Logbook> read_logbook(const std::filesystem::path& path) {
  return read_logbook(path, everything());
}

dsp::Result<Logbook> read_logbook(const std::filesystem::path& path, const LogbookPart& part) {
  return h5::guarded(path, [&] { return read(path, part); });
}

dsp::Result<void> write_logbook(const std::filesystem::path& path, Logbook logbook,
                                Overwrite overwrite) {
  return h5::guarded(path, [&] {
    const FolderLock lock(folder_of(path));
    put_in_order(logbook);
    write_atomically(path, logbook_bytes(logbook), overwrite);
  });
}

dsp::Result<Added> append_to_logbook(const std::filesystem::path& path, const LoggedSet& set) {
  return h5::guarded(path, [&] {
    const FolderLock lock(folder_of(path));
    Logbook logbook{set.description.client, {}};
    if (std::filesystem::exists(path)) logbook = read(path, everything());
    check_client(logbook, set.description);
    if (!insert_in_order(logbook, set)) return Added::already_there;
    write_atomically(path, logbook_bytes(logbook), Overwrite::yes);
    return Added::yes;
  });
}

dsp::Result<bool> amend_logbook(const std::filesystem::path& path, const std::string& set_id,
                                const SetDescription& description) {
  return h5::guarded(path, [&] {
    const FolderLock lock(folder_of(path));
    Logbook logbook = read(path, everything());
    check_client(logbook, description);
    const auto found = std::find_if(logbook.sets.begin(), logbook.sets.end(),
                                    [&](const LoggedSet& set) { return set.set_id == set_id; });
    if (found == logbook.sets.end()) return false;
    LoggedSet amended = std::move(*found);
    logbook.sets.erase(found);
    amended.description = description;
    insert_in_order(logbook, amended);  // the date may have been corrected, too
    write_atomically(path, logbook_bytes(logbook), Overwrite::yes);
    return true;
  });
}

}  // namespace strapline::recordings
