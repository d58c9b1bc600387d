#include <algorithm>
#include <array>
#include <functional>

#include "strapline/recordings/synthetic/disturbances.hpp"

#include "stirred_motion.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Segment;
using dsp::Side;

constexpr std::uint64_t kStream = 31;
constexpr double kSettle = 0.6;  // s, at rest before whatever comes next

/// Fills a stretch of time with one thing after another.
class Schedule {
 public:
  Schedule(std::vector<Stir>& stirs, Random& random, dsp::Interval when)
      : stirs_(stirs), random_(random), to_(when.to_s - kSettle), now_(when.from_s + 0.3) {}

  /// False where it does not fit any more; then nothing is added.
  bool add(const Stir& stir) {
    if (stir.end() > to_) return false;
    stirs_.push_back(stir);
    now_ = stir.end() + random_.uniform(0.2, 0.8);
    return true;
  }
  [[nodiscard]] double now() const { return now_; }
  [[nodiscard]] double left() const { return to_ - now_; }
  [[nodiscard]] Random& random() { return random_; }
  void wait(double seconds) { now_ += seconds; }

 private:
  std::vector<Stir>& stirs_;
  Random& random_;
  double to_, now_;
};

dsp::Placement some_strap(Random& random, const BodyMotion& movement) {
  constexpr std::array<dsp::Placement, 8> kStraps{{{Segment::thigh, Side::left},
                                                   {Segment::thigh, Side::right},
                                                   {Segment::shank, Side::left},
                                                   {Segment::shank, Side::right},
                                                   {Segment::chest, Side::middle},
                                                   {Segment::upper_arm, Side::left},
                                                   {Segment::upper_arm, Side::right},
                                                   {Segment::forearm, Side::right}}};
  for (;;) {
    const auto& strap = kStraps[static_cast<std::size_t>(random.integer(0, 7))];
    if (movement.has(strap.segment)) return strap;
  }
}

/// A hand reaches the strap and turns it there and back.
void fiddle(Schedule& plan, const BodyMotion& movement) {
  const dsp::Placement strap = some_strap(plan.random(), movement);
  const Stir hand = hand_moves(plan.random(), plan.now(), strap.side != Side::right);
  Stir turned = slip(plan.random(), plan.now() + 0.3, strap);
  if (plan.add(hand)) {
    turned.duration = std::min(turned.duration, plan.left() + 0.5);
    if (turned.duration > 0.5) plan.add(turned);
  }
}

void re_grip(Schedule& plan) {
  for (const bool right : {false, true}) {
    plan.add(hand_moves(plan.random(), plan.now(), right));
  }
}

void stand_at_ease(Schedule& plan, double until_left) {
  while (plan.left() > until_left) {
    const bool shifts = plan.random().uniform() < 0.6;
    if (!plan.add(shifts ? weight_shift(plan.random(), plan.now())
                         : bow(plan.random(), plan.now()))) {
      return;
    }
    plan.wait(plan.random().uniform(0.5, 2.0));
  }
}

struct WalkOut {
  double ahead, yaw;
};

void before_set(Schedule& plan, const BodyMotion& movement, const Disturbances& d,
                const WalkOut& way) {
  if (d.strap_fiddling) fiddle(plan, movement);
  if (d.rest) stand_at_ease(plan, 13.0);
  if (d.unracking) plan.add(dip(plan.random(), plan.now()));
  if (d.walk_out) plan.add(short_steps(plan.random(), plan.now(), way.ahead, way.yaw));
  if (d.re_grip) re_grip(plan);
}

void within_set(Schedule& plan, const BodyMotion& movement, const Disturbances& d) {
  if (d.re_grip) re_grip(plan);
  if (d.strap_fiddling) fiddle(plan, movement);
  if (d.rest && movement.range_name().find("elbow") == std::string_view::npos) {
    stand_at_ease(plan, 3.0);
  }
}

void after_set(Schedule& plan, const BodyMotion& movement, const Disturbances& d,
               const WalkOut& way) {
  if (d.walk_out) plan.add(short_steps(plan.random(), plan.now(), -way.ahead, -way.yaw));
  if (d.unracking) plan.add(dip(plan.random(), plan.now()));
  if (d.strap_fiddling) fiddle(plan, movement);
  if (d.rest) stand_at_ease(plan, 2.0);
}

/// The set part holds everything between the alignment and the second still part.
dsp::RecordingParts widened(const BodyMotion& movement) {
  dsp::RecordingParts parts = movement.parts();
  for (const SpareTime& spare : movement.spare_times()) {
    if (spare.where == SpareTime::Where::before_set) parts.set->from_s = spare.when.from_s;
    if (spare.where == SpareTime::Where::after_set) parts.set->to_s = spare.when.to_s;
  }
  return parts;
}

/// One thing of an ordinary quarter of an hour.
void add_everyday(Schedule& plan, const BodyMotion& movement) {
  Random& random = plan.random();
  switch (random.integer(0, 9)) {
    case 0:
    case 1:
    case 2:
      plan.add(walking(random, plan.now(), random.uniform(5.0, 40.0)));
      break;
    case 3:
      plan.add(stairs(random, plan.now(), random.uniform(4.0, 16.0), random.uniform() < 0.5));
      break;
    case 4:
      plan.add(turning(random, plan.now()));
      break;
    case 5:
    case 6:
      plan.add(talking(random, plan.now(), random.uniform(3.0, 20.0)));
      break;
    case 7:
      fiddle(plan, movement);
      break;
    case 8:
      plan.add(weight_shift(random, plan.now()));
      break;
    default:
      plan.add(bow(random, plan.now()));
      break;
  }
  plan.wait(random.uniform(0.0, 4.0));
}

}  // namespace

std::shared_ptr<const BodyMotion> stirred(std::shared_ptr<const BodyMotion> movement,
                                          const Disturbances& d) {
  if (!d.any()) return movement;
  Random random(movement->seed(), kStream);
  const WalkOut way{random.uniform(-1.0, -0.5), random.uniform(deg(-6.0), deg(6.0))};
  std::vector<Stir> stirs;
  for (const SpareTime& spare : movement->spare_times()) {
    Schedule plan(stirs, random, spare.when);
    switch (spare.where) {
      case SpareTime::Where::before_set:
        before_set(plan, *movement, d, way);
        break;
      case SpareTime::Where::within_set:
        within_set(plan, *movement, d);
        break;
      case SpareTime::Where::after_set:
        after_set(plan, *movement, d, way);
        break;
    }
  }
  const dsp::RecordingParts parts = widened(*movement);
  return std::make_shared<StirredMotion>(std::move(movement), std::move(stirs), parts);
}

std::shared_ptr<const BodyMotion> idling(std::shared_ptr<const BodyMotion> movement,
                                         std::uint64_t seed) {
  Random random(seed, kStream);
  std::vector<Stir> stirs;
  for (const SpareTime& spare : movement->spare_times()) {
    Schedule plan(stirs, random, spare.when);
    while (plan.left() > 3.0) add_everyday(plan, *movement);
  }
  const dsp::RecordingParts parts = widened(*movement);
  return std::make_shared<StirredMotion>(std::move(movement), std::move(stirs), parts);
}

}  // namespace strapline::recordings::synthetic
