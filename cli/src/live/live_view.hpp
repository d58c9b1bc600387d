#pragma once

#include <cstdint>
#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "strapline/dsp/live_event.hpp"

namespace strapline::cli {

inline constexpr const char* kStreaming = "streaming";

/// One strap's line of the live view.
struct StrapStatus {
  std::string label;
  std::string state;           ///< kStreaming, or what is wrong
  std::optional<int> battery;  ///< %
  std::uint64_t readings = 0;
  std::uint64_t missing = 0;  ///< batches
};

struct LiveStatus {
  std::string part;
  double seconds = 0.0;
  int reps = 0;
  int part_reps = 0;
  std::string counted_by;  ///< placement
  std::vector<StrapStatus> straps;
};

/// "  correction: excursion 2 was a part rep: …", what is now known of a rep that was told before.
[[nodiscard]] std::string correction_text(const dsp::LiveEvent& event);

/// Shows a recording as it happens: a block that is drawn over itself on a terminal, else one line
/// every few seconds. Lines said in between stay.
class LiveView {
 public:
  enum class Kind { terminal, lines, silent };
  LiveView(std::ostream& out, std::ostream& err, Kind kind) : out_(out), err_(err), kind_(kind) {}

  /// For the person: kept above the live block.
  void say(const std::string& line);
  /// A diagnostic, on the error stream.
  void warn(const std::string& line);
  void show(const LiveStatus& status);
  /// Enter was pressed: the terminal has moved on by a line.
  void line_was_typed() { drawn_ += drawn_ > 0 ? 1 : 0; }
  /// The block is to stay as it is.
  void leave_block() { drawn_ = 0; }

  [[nodiscard]] Kind kind() const { return kind_; }
  /// Real seconds between two calls of show() that are worth making.
  [[nodiscard]] double interval_s() const { return kind_ == Kind::terminal ? 0.2 : 5.0; }

 private:
  void erase();
  void draw(const LiveStatus& status);

  std::ostream& out_;
  std::ostream& err_;
  Kind kind_;
  int drawn_ = 0;  ///< lines of the block on the terminal
};

}  // namespace strapline::cli
