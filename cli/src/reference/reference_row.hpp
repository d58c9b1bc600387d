#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace strapline::cli::reference {

/// One line of the comparison with published data.
struct ReferenceRow {
  std::string set = {};    ///< data set
  std::string trial = {};  ///< trial, and what of it
  std::string quantity = {};
  std::optional<double> ours = {};  ///< empty where skipped or failed
  std::string unit = "deg";
  std::optional<double> mark = {};           ///< published, or a short prototype's
  bool higher_is_better = false;             ///< correlations
  std::optional<double> coverage95 = {};     ///< share of |error| ≤ 1.96 u
  std::optional<double> time_shift_ms = {};  ///< by which readings lead the truth (best fit)
  std::optional<double> ours_in_time = {};   ///< error with that shift removed
  std::string note = {};                     ///< why skipped, what was removed
  bool failed = false;                       ///< data there and not usable

  [[nodiscard]] bool better() const {
    return ours && mark && (higher_is_better ? *ours > *mark : *ours < *mark);
  }
  /// "better" or "worse" than the mark, "no mark", "skipped", "failed".
  [[nodiscard]] std::string verdict() const {
    if (failed) return "failed";
    if (!ours) return "skipped";
    if (!mark) return "no mark";
    return better() ? "better" : "worse";
  }
};

/// Inclination of single sensors: `orientation/broad`, `orientation/stick`.
[[nodiscard]] std::vector<ReferenceRow> inclination_rows(const std::filesystem::path& folder);
/// Flexion of joints: `joints/knee_lab`, `joints/robot_arm`, `joints/arm_chain`.
[[nodiscard]] std::vector<ReferenceRow> joint_rows(const std::filesystem::path& folder);
/// Squats and step-ups of one person: `joints/squat_lab`.
[[nodiscard]] std::vector<ReferenceRow> squat_rows(const std::filesystem::path& folder);

/// The row with its failure as the note.
[[nodiscard]] inline ReferenceRow failed_row(ReferenceRow row, const std::string& why) {
  row.failed = true;
  row.note = why;
  return row;
}
[[nodiscard]] inline ReferenceRow skipped_row(ReferenceRow row) {
  row.note = "not in the data folder";
  return row;
}

}  // namespace strapline::cli::reference
