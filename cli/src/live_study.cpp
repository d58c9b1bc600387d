#include "strapline/cli/live_study.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "strapline/dsp/live_set_counter.hpp"

namespace strapline::cli {
namespace {

using Eigen::Index;

constexpr double kBatch = 0.01;  // s

/// The parts of a recording one after the other.
class PartClock {
 public:
  explicit PartClock(const dsp::RecordingParts& parts) {
    add(parts.still, dsp::LivePart::still);
    add(parts.align, dsp::LivePart::align);
    add(parts.set, dsp::LivePart::set);
    add(parts.still_after, dsp::LivePart::still_after);
  }
  /// Tells the counter which part is on at `t_s`, where that has changed; true where the set
  /// begins.
  bool follow(double t_s, dsp::LiveSetCounter& counter) {
    dsp::LivePart now = dsp::LivePart::other;
    for (const Part& part : parts_) {
      if (part.when.from_s <= t_s && t_s < part.when.to_s) now = part.kind;
    }
    if (now == on_) return false;
    on_ = now;
    counter.begin_part(now);
    return now == dsp::LivePart::set;
  }

 private:
  struct Part {
    dsp::LivePart kind;
    dsp::Interval when;
  };
  void add(const std::optional<dsp::Interval>& when, dsp::LivePart kind) {
    if (when) parts_.push_back({kind, *when});
  }
  std::vector<Part> parts_;
  dsp::LivePart on_ = dsp::LivePart::other;
};

/// The same movement: the turn of either lies within the other.
bool same_rep(const dsp::LiveRep& live, const dsp::Rep& after) {
  const double turn = 0.5 * (after.turn_in_s + after.turn_out_s);
  return live.turn_s > after.start_s && live.turn_s < after.end_s && turn > live.start_s &&
         turn < live.end_s;
}

void take(const dsp::LiveSetCounter::Told& told, double now_s, LivePlay& play) {
  for (const dsp::LiveEvent& event : told.events) {
    play.events.push_back({event, now_s});
    if (event.number >= play.reps.size()) play.reps.resize(event.number + 1);
    play.reps[event.number] = event.rep;
  }
}

}  // namespace

LivePlay play_live(const dsp::SetInput& input) {
  std::vector<dsp::Placement> worn;
  std::vector<dsp::SensorErrors> errors;
  double from = std::numeric_limits<double>::max(), to = std::numeric_limits<double>::lowest();
  for (const dsp::StrapSeries& strap : input.straps) {
    worn.push_back(strap.placement);
    errors.push_back(strap.errors);
    from = std::min(from, strap.data.t[0]);
    to = std::max(to, strap.data.t[strap.data.size() - 1]);
  }
  dsp::LiveSetCounter counter(worn, input.movement, errors);
  PartClock parts(input.parts);
  std::vector<Index> next(worn.size(), 0);
  LivePlay play;
  for (double t = from; t < to + kBatch; t += kBatch) {
    if (parts.follow(t, counter)) play = {};  // what was told before is not of the set
    for (std::size_t s = 0; s < worn.size(); ++s) {
      const dsp::InertialSeries& data = input.straps[s].data;
      for (; next[s] < data.size() && data.t[next[s]] < t; ++next[s]) {
        const Index i = next[s];
        const bool good = data.flags.empty() || data.flags[static_cast<std::size_t>(i)] == 0;
        counter.update(s, data.t[i], data.gyr.col(i), data.acc.col(i), good);
      }
    }
    take(counter.take_events(), t, play);
  }
  return play;
}

LiveAgreement compare_live(const LivePlay& live, const std::vector<dsp::Rep>& after) {
  LiveAgreement a;
  a.sets = 1;
  a.reps = static_cast<int>(after.size());
  std::vector<char> used(live.reps.size(), 0);
  for (const dsp::Rep& rep : after) {
    const dsp::LiveRep* found = nullptr;
    for (std::size_t k = 0; k < live.reps.size(); ++k) {
      if (live.reps[k].withdrawn || used[k] != 0 || !same_rep(live.reps[k], rep)) continue;
      used[k] = 1;
      if (found != nullptr) {
        ++a.twice;
        continue;
      }
      found = &live.reps[k];
      for (const ToldEvent& told : live.events) {
        if (told.event.kind == dsp::LiveEvent::Kind::rep && told.event.number == k) {
          a.latency_s.push_back(told.told_s - rep.end_s);
        }
      }
    }
    if (found == nullptr) {
      ++a.missed;
    } else {
      ++(found->part == rep.part ? a.agreed : a.other_kind);
    }
  }
  int full_live = 0, full_after = 0;
  for (const dsp::Rep& rep : after) full_after += rep.part ? 0 : 1;
  for (std::size_t k = 0; k < live.reps.size(); ++k) {
    const dsp::LiveRep& rep = live.reps[k];
    full_live += !rep.part && !rep.withdrawn ? 1 : 0;
    a.taken_back += rep.withdrawn ? 1 : 0;
    a.extra += !rep.withdrawn && used[k] == 0 ? 1 : 0;
  }
  for (const ToldEvent& told : live.events) {
    a.corrections += told.event.kind == dsp::LiveEvent::Kind::correction ? 1 : 0;
  }
  a.same_count = full_live == full_after ? 1 : 0;
  return a;
}

double LiveAgreement::share() const {
  const int all = reps + extra + twice;
  return all == 0 ? 1.0 : static_cast<double>(agreed) / all;
}

double LiveAgreement::latency(double part) const {
  if (latency_s.empty()) return 0.0;
  std::vector<double> sorted = latency_s;
  std::sort(sorted.begin(), sorted.end());
  return sorted[static_cast<std::size_t>(part * static_cast<double>(sorted.size() - 1))];
}

void LiveAgreement::add(const LiveAgreement& other) {
  sets += other.sets;
  same_count += other.same_count;
  reps += other.reps;
  agreed += other.agreed;
  missed += other.missed;
  other_kind += other.other_kind;
  extra += other.extra;
  twice += other.twice;
  corrections += other.corrections;
  taken_back += other.taken_back;
  latency_s.insert(latency_s.end(), other.latency_s.begin(), other.latency_s.end());
}

}  // namespace strapline::cli
