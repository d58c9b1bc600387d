#include "strapline/acquisition/event_loop.hpp"

#include <csignal>
#include <map>
#include <vector>

#include "asio.hpp"
#include "line_watch.hpp"
#include "serial_link.hpp"
#include "tcp_link.hpp"

namespace strapline::acquisition {

struct EventLoop::State {
  explicit State(const HostClock& c) : clock(c), signals(context) {}

  void wait_for_interrupt() {
    signals.async_wait([this](ErrorCode error, int) {
      if (error) return;
      wait_for_interrupt();
      const Task task = interrupted;
      task();
    });
  }

  const HostClock& clock;
  asio::io_context context;
  asio::signal_set signals;
  Task interrupted;
  std::vector<std::shared_ptr<LineWatch>> watches;
  std::map<TimerId, asio::steady_timer> timers;
  TimerId last_timer = 0;
};

EventLoop::EventLoop(const HostClock& clock) : state_(std::make_unique<State>(clock)) {}
EventLoop::~EventLoop() = default;

void EventLoop::run() {
  state_->context.restart();
  state_->context.run();
}
void EventLoop::stop() { state_->context.stop(); }
const HostClock& EventLoop::clock() const { return state_->clock; }
void EventLoop::post(Task task) { asio::post(state_->context, std::move(task)); }

Scheduler::TimerId EventLoop::after(std::int64_t delay_ns, Task task) {
  const TimerId id = ++state_->last_timer;
  auto& timer = state_->timers.emplace(id, state_->context).first->second;
  timer.expires_after(state_->clock.real_duration(delay_ns));
  timer.async_wait([state = state_.get(), id, task = std::move(task)](ErrorCode error) {
    if (error || state->timers.erase(id) == 0) return;
    task();
  });
  return id;
}

void EventLoop::cancel(TimerId id) { state_->timers.erase(id); }

void EventLoop::async_open(const Address& address, std::int64_t timeout_ns, OpenHandler handler) {
  if (address.kind == Address::Kind::kTcp) {
    return open_tcp(state_->context, address, state_->clock.real_duration(timeout_ns),
                    std::move(handler));
  }
  post([this, path = address.path, handler = std::move(handler)] {
    handler(open_serial(state_->context, path));
  });
}

void EventLoop::on_interrupt(Task task) {
  const bool first = !state_->interrupted;
  state_->interrupted = std::move(task);
  if (!first) return;
  ErrorCode ignored;  // without the handler the default action stays: the process ends
  state_->signals.add(SIGINT, ignored);
  state_->signals.add(SIGTERM, ignored);
  state_->wait_for_interrupt();
}

void EventLoop::on_line(int file_descriptor, std::function<void(std::string)> handler) {
  auto watch = std::make_shared<LineWatch>(state_->context, std::move(handler));
  if (watch->start(file_descriptor)) state_->watches.push_back(std::move(watch));
}

void EventLoop::forget_watches() {
  ErrorCode ignored;
  state_->signals.cancel(ignored);
  state_->signals.clear(ignored);
  state_->interrupted = nullptr;
  for (const auto& watch : state_->watches) watch->stop();
  state_->watches.clear();
}

}  // namespace strapline::acquisition
