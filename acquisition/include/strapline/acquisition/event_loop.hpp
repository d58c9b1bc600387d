#pragma once

#include <functional>
#include <memory>
#include <string>

#include "strapline/acquisition/byte_stream.hpp"
#include "strapline/acquisition/host_clock.hpp"
#include "strapline/acquisition/scheduler.hpp"

namespace strapline::acquisition {

/// The one event loop of a process: serial ports, TCP, timers, interrupts and typed lines. All
/// handlers run in the thread that calls run(). Only post() and stop() may be called from other
/// threads.
class EventLoop : public Scheduler, public LinkOpener {
 public:
  /// The clock outlives the loop.
  explicit EventLoop(const HostClock& clock);
  ~EventLoop() override;

  /// Runs until nothing is left to wait for, or stop() was called.
  void run();
  void stop();

  [[nodiscard]] const HostClock& clock() const override;
  void post(Task task) override;
  TimerId after(std::int64_t delay_ns, Task task) override;
  void cancel(TimerId id) override;
  void async_open(const Address& address, std::int64_t timeout_ns, OpenHandler handler) override;

  /// Calls the task on every SIGINT or SIGTERM instead of ending the process. The loop keeps
  /// running for this; forget_watches() lets it end.
  void on_interrupt(Task task);
  /// Calls the handler with every line that arrives at the file descriptor (0: what is typed),
  /// without its line end, until the end of the file.
  void on_line(int file_descriptor, std::function<void(std::string)> handler);
  /// Ends on_interrupt() and on_line().
  void forget_watches();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace strapline::acquisition
