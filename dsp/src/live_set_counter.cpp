#include "strapline/dsp/live_set_counter.hpp"

#include <utility>

namespace strapline::dsp {
namespace {

/// How much more another strap must have turned before the count moves to it: two thighs of one
/// squatter differ by less.
constexpr double kClearlyMore = 1.5;

bool carries_range(Segment segment, RangeAngle angle) {
  switch (angle) {
    case RangeAngle::thigh_depth:
    case RangeAngle::working_thigh_depth:
      return segment == Segment::thigh;
    case RangeAngle::knee_flexion:
      return segment == Segment::thigh || segment == Segment::shank;
    case RangeAngle::hip_flexion:
      return segment == Segment::pelvis || segment == Segment::thigh;
    case RangeAngle::elbow_flexion:
    case RangeAngle::elbow_extension:
      return segment == Segment::upper_arm || segment == Segment::forearm;
    case RangeAngle::strongest_turn:
      break;
  }
  return false;
}

}  // namespace

LiveSetCounter::LiveSetCounter(const std::vector<Placement>& straps, const MovementSpec& movement) {
  LiveCounterParams params;
  params.least_range = movement.least_range;
  counters_.assign(straps.size(), LiveCounter(params));
  for (std::size_t i = 0; i < straps.size(); ++i) {
    if (carries_range(straps[i].segment, movement.range_angle)) candidates_.push_back(i);
  }
  if (candidates_.empty()) {
    for (std::size_t i = 0; i < straps.size(); ++i) candidates_.push_back(i);
  }
  if (!candidates_.empty()) chosen_ = told_by_ = candidates_.front();
}

void LiveSetCounter::update(std::size_t strap, double t_s, const Eigen::Vector3d& gyr,
                            const Eigen::Vector3d& acc, bool trusted) {
  counters_.at(strap).update(t_s, gyr, acc, trusted);
  for (const std::size_t other : candidates_) {
    if (counters_[other].turned() > kClearlyMore * counters_[chosen_].turned()) chosen_ = other;
  }
}

LiveSetCounter::Told LiveSetCounter::take_events() {
  Told told;
  told.moved = told_by_ != chosen_;
  told_by_ = chosen_;
  for (std::size_t i = 0; i < counters_.size(); ++i) {
    auto events = counters_[i].take_events();
    if (i == chosen_) told.events = std::move(events);
  }
  return told;
}

void LiveSetCounter::begin_set() {
  for (LiveCounter& counter : counters_) counter.begin_set();
  told_by_ = chosen_;
}

}  // namespace strapline::dsp
