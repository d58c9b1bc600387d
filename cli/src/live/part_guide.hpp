#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/movement.hpp"
#include "strapline/dsp/body.hpp"

namespace strapline::cli {

/// One part of a recording as it is told to the person who records.
struct GuidedPart {
  std::string mark;         ///< as in session_recording.hpp; empty: between parts
  std::string title;        ///< "stand still"
  std::string instruction;  ///< what the client should do now
};

/// Knows which part is on: moved on by hand, or by times that were given beforehand.
class PartGuide {
 public:
  /// Each step() begins the next part: still, align (where the movement has one), set, still again.
  [[nodiscard]] static PartGuide by_hand(const coaching::Movement& movement);
  /// Parts begin and end at their times, s since the first reading. None given: one nameless part.
  [[nodiscard]] static PartGuide by_time(const coaching::Movement& movement,
                                         const dsp::RecordingParts& parts);

  /// The part that is on; changes with step() or as time goes by.
  [[nodiscard]] const GuidedPart& now() const { return parts_[current_]; }
  /// By hand: what step() would begin; null where it would end the recording.
  [[nodiscard]] const GuidedPart* next() const;
  /// By hand: begins the next part. False where there is none: the recording is over.
  bool step();
  /// By time: true where another part is on at `t_s` than before.
  bool follow(double t_s);
  [[nodiscard]] bool is_by_hand() const { return by_hand_; }

 private:
  bool by_hand_ = false;
  std::vector<GuidedPart> parts_;     ///< the first is what is on before any part
  std::vector<dsp::Interval> times_;  ///< by time: of parts_[1…]
  std::size_t current_ = 0;
};

}  // namespace strapline::cli
