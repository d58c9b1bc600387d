#include "told_reps.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace strapline::dsp {
namespace {

// What was told is corrected from such differences on, which a coach would see.
constexpr double kOtherTime = 0.25;    // s
constexpr double kOtherRange = 0.087;  // rad (5°)

/// The same movement: the turn of either lies within the other.
bool same_rep(const LiveRep& a, const LiveRep& b) {
  return a.turn_s > b.start_s && a.turn_s < b.end_s && b.turn_s > a.start_s && b.turn_s < a.end_s;
}

bool differs(const LiveRep& told, const LiveRep& now) {
  return told.withdrawn != now.withdrawn || told.part != now.part || told.side != now.side ||
         std::abs(told.start_s - now.start_s) > kOtherTime ||
         std::abs(told.end_s - now.end_s) > kOtherTime ||
         std::abs(told.range - now.range) > kOtherRange;
}

}  // namespace

LiveRep live_rep(const Excursion& e) {
  return {e.start.time_s,
          e.turn_in.time_s,
          0.5 * (e.turn_in.time_s + e.turn_out.time_s),
          e.turn_out.time_s,
          e.end.time_s,
          e.range,
          e.part,
          false,
          e.side};
}

void ToldReps::clear() {
  told_.clear();
  events_.clear();
}

void ToldReps::correct(std::size_t number, const LiveRep& now) {
  if (!differs(told_[number], now)) return;
  events_.push_back({LiveEvent::Kind::correction, number, now, told_[number]});
  told_[number] = now;
}

void ToldReps::add(const LiveRep& rep) {
  const bool known = std::any_of(told_.begin(), told_.end(), [&](const LiveRep& told) {
    return !told.withdrawn && same_rep(told, rep);
  });
  if (known) return;
  told_.push_back(rep);
  events_.push_back({LiveEvent::Kind::rep, told_.size() - 1, rep, {}});
}

void ToldReps::replace(const std::vector<LiveRep>& reps, const Interval& looked_at) {
  std::vector<char> confirmed(told_.size(), 0);
  for (const LiveRep& now : reps) {
    std::size_t k = 0;
    while (k < confirmed.size() && (confirmed[k] != 0 || !same_rep(told_[k], now))) ++k;
    if (k == confirmed.size()) {
      told_.push_back(now);
      events_.push_back({LiveEvent::Kind::rep, told_.size() - 1, now, {}});
      continue;
    }
    confirmed[k] = 1;
    correct(k, now);
  }
  for (std::size_t k = 0; k < confirmed.size(); ++k) {
    const bool seen = told_[k].end_s >= looked_at.from_s && told_[k].end_s <= looked_at.to_s;
    if (confirmed[k] != 0 || told_[k].withdrawn || !seen) continue;
    LiveRep now = told_[k];
    now.withdrawn = true;
    correct(k, now);
  }
}

std::vector<LiveEvent> ToldReps::take_events() { return std::exchange(events_, {}); }

int ToldReps::full_reps() const {
  return static_cast<int>(std::count_if(
      told_.begin(), told_.end(), [](const LiveRep& rep) { return !rep.part && !rep.withdrawn; }));
}

int ToldReps::part_reps() const {
  return static_cast<int>(std::count_if(
      told_.begin(), told_.end(), [](const LiveRep& rep) { return rep.part && !rep.withdrawn; }));
}

}  // namespace strapline::dsp
