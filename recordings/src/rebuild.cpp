#include <algorithm>

#include "strapline/recordings/file_kind.hpp"
#include "strapline/recordings/logbook.hpp"
#include "strapline/recordings/recording_file.hpp"

#include "atomic_file.hpp"
#include "logbook_writer.hpp"

namespace strapline::recordings {
namespace {

std::vector<std::filesystem::path> candidates(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.is_regular_file() && entry.path().extension() == ".h5") files.push_back(entry.path());
  }
  // The folder's own order is chance; of two files with the same set the first name is kept.
  std::sort(files.begin(), files.end());
  return files;
}

void add_file(Logbook& logbook, RebuildReport& report, const std::filesystem::path& file,
              const Analyse& analyse) {
  if (file_kind(file) == FileKind::logbook) return;
  const auto recording = read_recording(file);
  if (!recording) {
    report.skipped.push_back(recording.error());
    return;
  }
  if (recording->description.client != logbook.client) {
    ++report.other_clients;
    return;
  }
  const auto analysis = analyse(*recording);
  if (!analysis) {
    report.skipped.push_back(h5::in_file(analysis.error(), file));
    return;
  }
  const bool added = insert_in_order(logbook, make_logged_set(*recording, file, *analysis));
  ++(added ? report.added : report.repeated);
}

}  // namespace

dsp::Result<RebuildReport> rebuild_logbook(const std::filesystem::path& path,
                                           const std::string& client,
                                           const std::filesystem::path& folder,
                                           const Analyse& analyse) {
  return h5::guarded(path, [&] {
    const FolderLock lock(folder_of(path));
    Logbook logbook{client, {}};
    RebuildReport report;
    for (const auto& file : candidates(folder)) add_file(logbook, report, file, analyse);
    write_atomically(path, logbook_bytes(logbook), Overwrite::yes);
    return report;
  });
}

}  // namespace strapline::recordings
