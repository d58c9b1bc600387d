#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/measure.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/recording.hpp"
#include "strapline/recordings/recording_file.hpp"

namespace strapline::recordings {

/// One measure over the full reps of a set that have it.
struct MeasureSummary {
  int n = 0;  ///< full reps with a value
  double median = 0.0;
  double mean = 0.0;
  std::optional<double> sd;  ///< of the reps (n − 1); unset below two reps
  /// Standard uncertainty of the set's value: the root mean square of the reps' u. It does not
  /// shrink with √n, because the reps of a set share the alignment that dominates it.
  double u = 0.0;
  dsp::Unit unit = dsp::Unit::one;
};

/// One set as the logbook keeps it.
struct LoggedSet {
  std::string set_id;  ///< recordings::set_id
  std::string file;    ///< name of the recording, without its folder
  std::string source;  ///< Recording::source
  std::string algorithm;
  SetDescription description;
  int full_reps = 0;
  int part_reps = 0;
  std::map<std::string, MeasureSummary> measures;
  dsp::MeasureMap as_whole;  ///< SetAnalysis::measures: velocity loss, steadiness
  std::vector<dsp::Rep> reps;
  std::vector<dsp::RepCluster> clusters;  ///< of `reps`
};

/// A client's sets, ordered by start time (then by set_id). Derived data: it can be rebuilt.
struct Logbook {
  std::string client;
  std::vector<LoggedSet> sets;
};

/// Median, mean, SD and u of every measure over the full reps.
[[nodiscard]] std::map<std::string, MeasureSummary> summarise(const std::vector<dsp::Rep>& reps);

/// The logbook's entry for one analysed recording.
[[nodiscard]] LoggedSet make_logged_set(const Recording& recording,
                                        const std::filesystem::path& file,
                                        const dsp::SetAnalysis& analysis);

/// What to read of a logbook besides the headlines: all of a set but its measures and reps.
struct LogbookPart {
  /// Given the headlines in the logbook's order: one flag per set.
  using Choice = std::function<std::vector<bool>(const std::vector<LoggedSet>& headlines)>;
  Choice summaries;  ///< whose measures, those of the set as a whole too; empty: nobody's
  Choice reps;       ///< whose reps and clusters, with the reps' measures; empty: nobody's
};

/// Choices for a LogbookPart.
[[nodiscard]] std::vector<bool> every_set(const std::vector<LoggedSet>& headlines);
[[nodiscard]] LogbookPart::Choice sets_where(std::function<bool(const LoggedSet&)> accepts);

/// Reads a part, and of the file little more than that: headlines cost a hundredth of the whole.
/// A set that is not chosen has no measures or no reps; that it has none and that they were not
/// asked for look the same, so whoever asks for a part keeps to it.
/// Fails as read_recording does, and where what is read does not agree with itself.
[[nodiscard]] dsp::Result<Logbook> read_logbook(const std::filesystem::path& path,
                                                const LogbookPart& part);

/// All of it.
[[nodiscard]] dsp::Result<Logbook> read_logbook(const std::filesystem::path& path);

/// Writes a logbook as a whole, its sets put in order. Fails where a set comes twice or is another
/// client's, where `path` exists and may not be replaced, and where the file cannot be written.
[[nodiscard]] dsp::Result<void> write_logbook(const std::filesystem::path& path, Logbook logbook,
                                              Overwrite overwrite);

enum class Added { yes, already_there };

/// Adds a set, making the logbook where there is none. A set whose set_id is in it already leaves
/// the file as it is. The file is written anew and renamed; two programs that add at the same time
/// both get their set in. Fails where the logbook is another client's or cannot be read or written.
[[nodiscard]] dsp::Result<Added> append_to_logbook(const std::filesystem::path& path,
                                                   const LoggedSet& set);

/// Replaces what was entered for the set of this `set_id`; its reps and measures stay. False where
/// the logbook has no such set; the file is then as before. Fails where the logbook is another
/// client's than the description says, or cannot be read or written.
[[nodiscard]] dsp::Result<bool> amend_logbook(const std::filesystem::path& path,
                                              const std::string& set_id,
                                              const SetDescription& description);

/// How a recording is analysed is not this room's decision.
using Analyse = std::function<dsp::Result<dsp::SetAnalysis>(const Recording&)>;

struct RebuildReport {
  int added = 0;
  int repeated = 0;                   ///< the same set again under another name
  int other_clients = 0;              ///< recordings of somebody else
  std::vector<dsp::Failure> skipped;  ///< unreadable, or without an analysis: which and why
};

/// Replaces the logbook by one made from every *.h5 recording of `client` in `folder` (not below
/// it), analysed by `analyse`. Logbooks in the folder are passed over; every other file that cannot
/// be used is named in the report. Fails, leaving the old logbook, where the folder cannot be read
/// or the logbook not be written.
[[nodiscard]] dsp::Result<RebuildReport> rebuild_logbook(const std::filesystem::path& path,
                                                         const std::string& client,
                                                         const std::filesystem::path& folder,
                                                         const Analyse& analyse);

}  // namespace strapline::recordings
