#include "reviewed_set.hpp"

#include "strapline/cli/analysis.hpp"
#include "strapline/coaching/body_lengths.hpp"
#include "strapline/recordings/recording_file.hpp"

#include "clients_folder.hpp"

namespace strapline::cli {
namespace {

dsp::Failure in_file(dsp::Failure failure, const std::filesystem::path& file) {
  failure.where = failure.where.empty() ? file.string() : file.string() + ": " + failure.where;
  return failure;
}

/// The client of the recording, or why the client's file cannot be read.
void take_client(const std::filesystem::path& clients, ReviewedSet& set) {
  auto found = find_client(clients, set.recording.description.client);
  if (!found) {
    set.client_fault = found.error();
  } else {
    set.client = std::move(*found);
  }
}

/// Fills height and lengths that the recording lacks from the client's file; says in `notes` which.
void complete_body(const coaching::Client& client, recordings::Recording& recording,
                   std::vector<std::string>& notes) {
  std::string taken;
  for (const auto& [name, length] : coaching::kBodyLengths) {
    auto& known = recording.body.*length;
    if (known || !(client.body.*length)) continue;
    known = client.body.*length;
    taken += (taken.empty() ? "" : ", ") + std::string(name);
  }
  if (!taken.empty()) notes.push_back("from the client's file, not the recording: " + taken);
}

/// Analyses the recording with what its client's file adds.
dsp::Result<dsp::SetAnalysis> analyse_completed(recordings::Recording& recording,
                                                const std::optional<coaching::Client>& client,
                                                const std::string& movement) {
  std::vector<std::string> notes;
  if (client) complete_body(*client, recording, notes);
  auto analysis = analyse(recording, movement);
  if (analysis) analysis->notes.insert(analysis->notes.end(), notes.begin(), notes.end());
  return analysis;
}

}  // namespace

dsp::Result<dsp::SetAnalysis> analyse_as_reviewed(const recordings::Recording& recording,
                                                  const std::string& movement,
                                                  const std::filesystem::path& clients) {
  const auto client =
      find_client(clients.empty() ? clients_folder() : clients, recording.description.client);
  if (!client || !*client) return analyse(recording, movement);
  recordings::Recording completed = recording;
  return analyse_completed(completed, *client, movement);
}

dsp::Result<ReviewedSet> review_file(const std::filesystem::path& file, const std::string& movement,
                                     const std::filesystem::path& clients) {
  auto recording = recordings::read_recording(file);
  if (!recording) return tl::make_unexpected(recording.error());
  const std::string name = movement.empty() ? recording->description.movement : movement;
  auto loaded = coaching::load_movement(name);
  if (!loaded) {
    // One's own --movement is named by the failure itself; only the recording's needs its file.
    if (!movement.empty()) return tl::make_unexpected(loaded.error());
    return tl::make_unexpected(in_file(loaded.error(), file));
  }
  ReviewedSet set{file, std::move(*recording), std::move(*loaded), {}, {}, {}};
  take_client(clients.empty() ? clients_folder() : clients, set);
  auto analysis = analyse_completed(set.recording, set.client, name);
  if (!analysis) return tl::make_unexpected(in_file(analysis.error(), file));
  set.analysis = std::move(*analysis);
  set.recording.description.movement = set.movement.name;
  return set;
}

}  // namespace strapline::cli
