#include "strapline/dsp/live_set_counter.hpp"

#include <algorithm>
#include <utility>

#include "strapline/dsp/live_counter.hpp"
#include "strapline/dsp/stuck_readings.hpp"

#include "live_motion.hpp"
#include "live_range.hpp"
#include "live_repetitions.hpp"
#include "live_reps.hpp"

namespace strapline::dsp {
namespace {

/// How much more another strap must have turned before the count moves to it: two thighs of one
/// squatter differ by less.
constexpr double kClearlyMore = 1.5;

constexpr double kLookEvery = 0.04;   // s
constexpr double kFallenBack = 0.5;   // s behind the newest strap: not waited for any more
constexpr double kGone = 3.0;         // s behind the newest strap: counted without it
constexpr double kSettleEvery = 1.0;  // s, between looks at the start posture

}  // namespace

/// The ways of counting, and which of them is on.
class LiveSetCounter::Count {
 public:
  Count(const std::vector<Placement>& straps, const MovementSpec& movement,
        const std::vector<SensorErrors>& errors)
      : placements_(straps),
        stuck_(straps.size()),
        range_(straps, movement),
        reps_(movement),
        by_repeating_(movement.range_angle == RangeAngle::strongest_turn),
        repetitions_(straps, movement, errors) {
    LiveCounterParams params;
    params.least_range = movement.least_range;
    for (std::size_t i = 0; i < straps.size(); ++i) {
      params.orientation = params_for(errors.at(i));
      counters_.emplace_back(params);
      motions_.emplace_back(params.orientation);
      if (carries_range(straps[i].segment, movement.range_angle)) candidates_.push_back(i);
    }
    if (candidates_.empty()) {
      for (std::size_t i = 0; i < straps.size(); ++i) candidates_.push_back(i);
    }
    if (!candidates_.empty()) chosen_ = candidates_.front();
    told_by_ = counting();
  }

  void update(std::size_t strap, double t_s, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc,
              bool trusted) {
    if (stuck_.at(strap).update(t_s, gyr, acc)) return;  // as if it had sent nothing
    motions_.at(strap).update(t_s, gyr, acc, trusted, grid_);
    newest_s_ = std::max(newest_s_, t_s);
    if (!set_is_over_) follow_turning(strap, t_s, gyr, acc, trusted);
    if (set_is_over_) return;
    if (by_repeating_) repetitions_.keep(strap, t_s, gyr, acc, trusted);
    if (t_s < next_look_s_) return;
    next_look_s_ = t_s + kLookEvery;
    if (by_posture_) look();
    if (by_repeating_) look_for_repeats(false);
  }

  void begin_part(LivePart part) {
    if (on_ == LivePart::set && by_posture_) look();
    if (on_ == LivePart::set && by_repeating_) look_for_repeats(true);
    end_part();
    on_ = part;
    on_since_s_ = newest_s_;
    if (part == LivePart::still || part == LivePart::align) warming_up_ = true;
    set_is_over_ = part == LivePart::still_after || (part == LivePart::other && set_is_over_);
    if (part == LivePart::set) begin_set();
  }

  Told take_events() {
    Told told;
    const std::vector<std::size_t> now = counting();
    told.moved = told_by_ != now;
    told_by_ = now;
    for (std::size_t i = 0; i < counters_.size(); ++i) {
      auto events = counters_[i].take_events();
      if (!by_posture_ && !by_repeating_ && i == chosen_) told.events = std::move(events);
    }
    if (by_posture_) told.events = reps_.take_events();
    if (by_repeating_) told.events = repetitions_.take_events();
    if (warming_up_) told.events.clear();
    return told;
  }

  [[nodiscard]] std::vector<std::size_t> counting() const {
    std::vector<std::size_t> straps;
    if (!by_posture_) {
      if (!counters_.empty()) straps.push_back(chosen_);
      return straps;
    }
    for (std::size_t k = 0; k < placements_.size(); ++k) {
      if (range_.shows_angle(k) && !gone(k)) straps.push_back(k);
    }
    return straps;
  }
  [[nodiscard]] int full_reps() const {
    if (warming_up_) return 0;
    if (by_repeating_) return repetitions_.full_reps();
    return by_posture_ ? reps_.full_reps() : counters_.at(chosen_).full_reps();
  }
  [[nodiscard]] int part_reps() const {
    if (warming_up_) return 0;
    if (by_repeating_) return repetitions_.part_reps();
    return by_posture_ ? reps_.part_reps() : counters_.at(chosen_).part_reps();
  }

 private:
  void follow_turning(std::size_t strap, double t_s, const Eigen::Vector3d& gyr,
                      const Eigen::Vector3d& acc, bool trusted) {
    const auto rep = counters_.at(strap).update(t_s, gyr, acc, trusted);
    if (rep && by_repeating_ && strap == chosen_) repetitions_.take(*rep);
    for (const std::size_t other : candidates_) {
      if (counters_[other].turned() > kClearlyMore * counters_[chosen_].turned()) chosen_ = other;
    }
  }

  void end_part() {
    const Interval part{on_since_s_, newest_s_};
    if (on_ == LivePart::still) parts_.still = part;
    if (on_ == LivePart::align) parts_.align = part;
    if (on_ == LivePart::set) set_is_over_ = true;
  }

  void begin_set() {
    for (LiveCounter& counter : counters_) counter.begin_set();
    warming_up_ = false;
    set_is_over_ = false;
    const Eigen::Index end = known_until();
    by_posture_ = end > 0 && range_.align(motions_, grid_, end, parts_);
    reps_.begin(newest_s_);
    repetitions_.begin(newest_s_);
    next_look_s_ = next_settle_s_ = newest_s_;
    told_by_ = counting();
  }

  void look() {
    if (counting().empty()) {  // no strap that shows the angle is left
      by_posture_ = false;
      return;
    }
    const Eigen::Index end = known_until();
    if (end < 2) return;
    range_.extend(motions_, grid_, end);
    const double now_s = grid_.t()[end - 1];
    if (now_s >= next_settle_s_) {
      range_.settle_start(grid_, {on_since_s_, now_s});
      next_settle_s_ = now_s + kSettleEvery;
    }
    reps_.look(grid_, motions_, placements_, range_, end, *parts_.still);
  }

  void look_for_repeats(bool over) { repetitions_.look(grid_, known_until(), over); }

  /// How far all straps that keep up are known; the others are filled up to it.
  Eigen::Index known_until() {
    if (grid_.empty()) return 0;
    Eigen::Index end = grid_.at(newest_s_) + 1;
    for (const LiveMotion& motion : motions_) {
      if (newest_s_ - motion.newest_s() <= kFallenBack) end = std::min(end, motion.filled());
    }
    for (LiveMotion& motion : motions_) motion.wait_until(end - 1);
    return end;
  }

  [[nodiscard]] bool gone(std::size_t k) const {
    return newest_s_ - motions_[k].newest_s() > kGone;
  }

  std::vector<Placement> placements_;
  std::vector<StuckDetector> stuck_;
  LiveGrid grid_;
  std::vector<LiveMotion> motions_;
  LiveRange range_;
  LiveReps reps_;
  bool by_posture_ = false;
  bool by_repeating_ = false;
  LiveRepetitions repetitions_;
  RecordingParts parts_;
  LivePart on_ = LivePart::other;
  double on_since_s_ = 0.0;
  double newest_s_ = 0.0;
  double next_look_s_ = 0.0, next_settle_s_ = 0.0;
  bool set_is_over_ = false;
  bool warming_up_ = false;  ///< standing still or aligning: no bend is a rep

  std::vector<LiveCounter> counters_;
  std::vector<std::size_t> candidates_;  ///< straps that may count; never empty if there is one
  std::size_t chosen_ = 0;
  std::vector<std::size_t> told_by_;
};

LiveSetCounter::LiveSetCounter(const std::vector<Placement>& straps, const MovementSpec& movement,
                               const std::vector<SensorErrors>& errors)
    : count_(std::make_unique<Count>(
          straps, movement, errors.empty() ? std::vector<SensorErrors>(straps.size()) : errors)) {}
LiveSetCounter::LiveSetCounter(LiveSetCounter&&) noexcept = default;
LiveSetCounter& LiveSetCounter::operator=(LiveSetCounter&&) noexcept = default;
LiveSetCounter::~LiveSetCounter() = default;

void LiveSetCounter::update(std::size_t strap, double t_s, const Eigen::Vector3d& gyr,
                            const Eigen::Vector3d& acc, bool trusted) {
  count_->update(strap, t_s, gyr, acc, trusted);
}
void LiveSetCounter::begin_part(LivePart part) { count_->begin_part(part); }
LiveSetCounter::Told LiveSetCounter::take_events() { return count_->take_events(); }
std::vector<std::size_t> LiveSetCounter::counting() const { return count_->counting(); }
int LiveSetCounter::full_reps() const { return count_->full_reps(); }
int LiveSetCounter::part_reps() const { return count_->part_reps(); }

}  // namespace strapline::dsp
