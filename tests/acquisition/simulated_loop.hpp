#pragma once

#include <map>
#include <utility>

#include "strapline/acquisition/scheduler.hpp"

namespace strapline::acquisition::testing {

/// Scheduler and clock in simulated time: whole sessions run in milliseconds, always the same.
class SimulatedLoop : public Scheduler, private HostClock {
 public:
  [[nodiscard]] const HostClock& clock() const override { return *this; }
  void post(Task task) override { after(0, std::move(task)); }
  TimerId after(std::int64_t delay_ns, Task task) override {
    tasks_.emplace(std::pair(now_ns_ + (delay_ns > 0 ? delay_ns : 0), ++last_id_), std::move(task));
    return last_id_;
  }
  void cancel(TimerId id) override {
    for (auto task = tasks_.begin(); task != tasks_.end(); ++task) {
      if (task->first.second != id) continue;
      tasks_.erase(task);
      return;
    }
  }

  /// Runs everything that is due up to `seconds` from now.
  void run_for(double seconds) {
    const auto until = now_ns_ + static_cast<std::int64_t>(seconds * 1e9);
    while (!tasks_.empty() && tasks_.begin()->first.first <= until) run_one();
    now_ns_ = until;
  }
  /// Runs until the condition holds; false where it did not within `seconds`.
  template <class Condition>
  bool run_until(Condition&& condition, double seconds) {
    const auto until = now_ns_ + static_cast<std::int64_t>(seconds * 1e9);
    while (!condition() && !tasks_.empty() && tasks_.begin()->first.first <= until) run_one();
    return condition();
  }
  [[nodiscard]] std::int64_t time_ns() const { return now_ns_; }

 private:
  [[nodiscard]] std::int64_t now_ns() const override { return now_ns_; }
  [[nodiscard]] std::chrono::nanoseconds real_duration(std::int64_t host_ns) const override {
    return std::chrono::nanoseconds(host_ns);
  }
  void run_one() {
    auto node = tasks_.extract(tasks_.begin());
    now_ns_ = node.key().first;
    node.mapped()();
  }

  std::int64_t now_ns_ = 5'000'000'000'000;  // a host clock does not begin at 0
  TimerId last_id_ = 0;
  std::map<std::pair<std::int64_t, TimerId>, Task> tasks_;
};

}  // namespace strapline::acquisition::testing
