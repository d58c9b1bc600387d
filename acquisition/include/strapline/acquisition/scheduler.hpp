#pragma once

#include <cstdint>
#include <functional>

#include "strapline/acquisition/host_clock.hpp"

namespace strapline::acquisition {

/// Runs functions later on the event loop. Sessions know only this, so that tests can run them in
/// simulated time.
class Scheduler {
 public:
  using Task = std::function<void()>;
  using TimerId = std::uint64_t;  ///< never 0

  Scheduler() = default;
  Scheduler(const Scheduler&) = delete;
  Scheduler& operator=(const Scheduler&) = delete;
  virtual ~Scheduler() = default;

  [[nodiscard]] virtual const HostClock& clock() const = 0;
  /// Runs the task soon, not from inside this call.
  virtual void post(Task task) = 0;
  /// Runs the task once, when `delay_ns` of the host clock has passed.
  virtual TimerId after(std::int64_t delay_ns, Task task) = 0;
  /// The task will not run any more. An id that has run or is 0 is ignored.
  virtual void cancel(TimerId id) = 0;
};

}  // namespace strapline::acquisition
