#include "part_guide.hpp"

#include <algorithm>

#include "session_recording.hpp"

namespace strapline::cli {
namespace {

GuidedPart still(const coaching::Movement& movement) {
  return {kStillMark, "stand still", movement.start_posture};
}
GuidedPart align(const coaching::Movement& movement) {
  return {kAlignMark, "align", movement.alignment};
}
GuidedPart set() { return {kSetMark, "set", "The set. Stop it on pain."}; }
GuidedPart still_after() {
  return {kStillAfterMark, "still again",
          "Stand as at the start and hold still for three seconds."};
}

bool needs_alignment(const coaching::Movement& movement) {
  return movement.range_angle != dsp::RangeAngle::strongest_turn;
}

}  // namespace

PartGuide PartGuide::by_hand(const coaching::Movement& movement) {
  PartGuide guide;
  guide.by_hand_ = true;
  guide.parts_ = {{"", "get ready", "Put the client in place: standing, straps snug."},
                  still(movement)};
  if (needs_alignment(movement)) guide.parts_.push_back(align(movement));
  guide.parts_.push_back(set());
  guide.parts_.push_back(still_after());
  return guide;
}

PartGuide PartGuide::by_time(const coaching::Movement& movement, const dsp::RecordingParts& parts) {
  PartGuide guide;
  guide.parts_ = {{"", "recording", ""}};
  const auto add = [&](const std::optional<dsp::Interval>& time, GuidedPart part) {
    if (!time) return;
    guide.parts_.push_back(std::move(part));
    guide.times_.push_back(*time);
  };
  add(parts.still, still(movement));
  add(parts.align, align(movement));
  add(parts.set, set());
  add(parts.still_after, still_after());
  return guide;
}

const GuidedPart* PartGuide::next() const {
  return current_ + 1 < parts_.size() ? &parts_[current_ + 1] : nullptr;
}

bool PartGuide::step() {
  if (next() == nullptr) return false;
  ++current_;
  return true;
}

bool PartGuide::follow(double t_s) {
  if (by_hand_) return false;
  const auto on = std::find_if(times_.begin(), times_.end(), [&](const dsp::Interval& part) {
    return part.from_s <= t_s && t_s < part.to_s;
  });
  const std::size_t before = current_;
  current_ = on == times_.end() ? 0 : static_cast<std::size_t>(on - times_.begin()) + 1;
  return current_ != before;
}

}  // namespace strapline::cli
