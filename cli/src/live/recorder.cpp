#include "recorder.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "strapline/acquisition/event_loop.hpp"
#include "strapline/acquisition/session.hpp"
#include "strapline/dsp/calibrated.hpp"
#include "strapline/dsp/live_set_counter.hpp"
#include "strapline/recordings/calibration_store.hpp"

#include "../calibration_folder.hpp"
#include "part_guide.hpp"
#include "session_recording.hpp"

namespace strapline::cli {
namespace {

namespace acq = acquisition;

// Real seconds without a reading from any strap, after which they are taken to have ended.
constexpr double kSilence_s = 3.0;
constexpr double kFirstReading_s = 10.0;
constexpr double kLook_s = 0.05;

/// What turns a strap's counts into SI.
struct Scale {
  double acc = 0.0;  ///< m/s² per count
  double gyr = 0.0;  ///< rad/s per count
  int full = 0;      ///< |count| at or above it is saturated; 0: unknown
  dsp::StrapCalibration calibration;

  [[nodiscard]] Eigen::Vector3d acc_of(const acq::LiveSample& sample) const {
    const auto& c = sample.counts;
    return dsp::calibrated(calibration.acc, acc * Eigen::Vector3d(c[0], c[1], c[2]));
  }
  [[nodiscard]] Eigen::Vector3d gyr_of(const acq::LiveSample& sample) const {
    const auto& c = sample.counts;
    return dsp::calibrated(calibration.gyr, gyr * Eigen::Vector3d(c[3], c[4], c[5]));
  }
};

Scale scale_of(const std::optional<firmware_protocol::Identity>& identity) {
  if (!identity) return {};
  return {1e-12 * static_cast<double>(identity->acc_scale_pico),
          1e-12 * static_cast<double>(identity->gyr_scale_pico),
          identity->full_scale_count,
          {}};
}

dsp::LivePart part_of(const std::string& mark) {
  if (mark == kStillMark) return dsp::LivePart::still;
  if (mark == kAlignMark) return dsp::LivePart::align;
  if (mark == kSetMark) return dsp::LivePart::set;
  return mark == kStillAfterMark ? dsp::LivePart::still_after : dsp::LivePart::other;
}

bool trusted(const acq::LiveSample& sample, int full) {
  const bool saturated =
      full > 0 && std::any_of(sample.counts.begin(), sample.counts.end(),
                              [&](std::int16_t count) { return std::abs(int{count}) >= full; });
  return !saturated && !sample.after_gap;
}

/// What the analysis of the recording will take the strap's errors for, but for its calibration.
dsp::SensorErrors errors_of(const acq::StrapLive& strap) {
  if (!strap.identity) return {};
  const auto& [text, length] = strap.identity->part_name;
  const firmware_protocol::Rate rate = strap.identity->rate;
  return errors_of_part(std::string(text.data(), length),
                        static_cast<double>(rate.numerator) / rate.denominator);
}

class Recorder final : public acq::SessionObserver {
 public:
  Recorder(const RecordPlan& plan, bool typed, LiveView& view)
      : plan_(plan),
        view_(view),
        clock_(plan.speed),
        loop_(clock_),
        guide_(typed ? PartGuide::by_hand(plan.movement)
                     : PartGuide::by_time(plan.movement, plan.notes.parts)),
        counter_(plan.placements, coaching::to_spec(plan.movement)) {}

  RecordOutcome run() {
    auto journal =
        acq::JournalWriter::create(plan_.journal.string(), to_json(plan_.notes), clock_.now_ns());
    if (!journal) return {tl::make_unexpected(journal.error())};
    outcome_.journal_made = true;
    acq::Session session(loop_, loop_, **journal, plan_.straps,
                         acq::SessionOptions{}.at_speed(plan_.speed), *this);
    session_ = &session;
    loop_.on_interrupt([this] { stop("stopped"); });
    session.open([this](acq::Result<void> ready) { opened(std::move(ready)); });
    loop_.run();
    session_ = nullptr;
    outcome_.full_reps = counter_.full_reps();
    outcome_.part_reps = counter_.part_reps();
    return std::move(outcome_);
  }

  void on_samples(std::uint16_t strap, std::span<const acq::LiveSample> samples) override {
    newest_ns_ = clock_.now_ns();
    if (!first_ns_) first_ns_ = newest_ns_;
    const Scale& scale = scales_.at(strap);
    for (const acq::LiveSample& sample : samples) {
      counter_.update(strap, sample.t_s, scale.gyr_of(sample), scale.acc_of(sample),
                      trusted(sample, scale.full));
    }
    tell_corrections();
  }

  void on_event(const acq::SessionEvent& event) override {
    if (event.kind == acq::SessionEvent::Kind::kConnected) return;  // told when all are
    const std::string line = plan_.straps.at(event.strap).label + ": " + event.text;
    if (event.kind == acq::SessionEvent::Kind::kGaveUp) outcome_.losses.push_back(line);
    view_.warn(line);
  }

  void on_failure(const acq::Failure& failure) override { finish(tl::make_unexpected(failure)); }

 private:
  void opened(acq::Result<void> ready) {
    if (!ready) return finish(tl::make_unexpected(ready.error()));
    std::vector<dsp::SensorErrors> errors;
    for (const acq::StrapLive& strap : session_->live()) {
      scales_.push_back(scale_of(strap.identity));
      errors.push_back(errors_of(strap));
      take_calibration(strap, errors.back());
      view_.say(fmt::format("  {:<16} {}, battery {}", strap.label, strap.address,
                            strap.battery_percent ? fmt::format("{} %", *strap.battery_percent)
                                                  : std::string("unknown")));
    }
    // Only now have the straps said which sensors they have.
    counter_ = dsp::LiveSetCounter(plan_.placements, coaching::to_spec(plan_.movement), errors);
    outcome_.began = true;
    began_ns_ = clock_.now_ns();
    session_->start();
    if (guide_.is_by_hand()) {
      loop_.on_line(0, [this](const std::string&) { enter(); });
    }
    tell_part();
    look();
  }

  /// What cannot be read is said when the recording is kept.
  void take_calibration(const acq::StrapLive& strap, dsp::SensorErrors& errors) {
    if (!strap.identity) return;
    const auto stored =
        recordings::find_calibration(calibration_folder(), strap.identity->device_id);
    if (!stored || !*stored) return;
    scales_.back().calibration = (*stored)->calibration.values;
    errors = dsp::narrowed(errors, scales_.back().calibration);
  }

  // Every few hundredths of a second: whatever hangs on time.
  void look() {
    loop_.after(real(kLook_s), [this] { look(); });
    if (stopping_) return;
    if (first_ns_ && guide_.follow(seconds())) begin_part();
    if (plan_.seconds && seconds() >= *plan_.seconds) return stop("the time is up");
    if (all_silent())
      return stop(first_ns_ ? "no strap sends any more" : "no strap sends readings");
    if (clock_.now_ns() < next_show_ns_) return;
    next_show_ns_ = clock_.now_ns() + real(view_.interval_s());
    if (first_ns_) view_.show(status());
  }

  void enter() {
    if (stopping_) return;
    view_.line_was_typed();
    if (guide_.step()) return begin_part();
    mark(kPartsOver);
    stop("the recording is complete");
  }

  void begin_part() {
    if (guide_.is_by_hand()) mark(guide_.now().mark);
    counter_.begin_part(part_of(guide_.now().mark));
    tell_part();
  }

  /// What was said of an earlier rep is never changed silently.
  void tell_corrections() {
    const dsp::LiveSetCounter::Told told = counter_.take_events();
    if (told.moved && first_ns_) {
      view_.say(fmt::format("  counted on {} from here: {} full reps so far", counted_by(),
                            counter_.full_reps()));
    }
    for (const dsp::LiveEvent& event : told.events) {
      if (event.kind == dsp::LiveEvent::Kind::correction) view_.say(correction_text(event));
    }
  }

  /// "thigh_left, thigh_right".
  [[nodiscard]] std::string counted_by() const {
    std::string text;
    for (const std::size_t strap : counter_.counting()) {
      text += (text.empty() ? "" : ", ") + plan_.straps[strap].label;
    }
    return text;
  }

  void mark(const std::string& text) {
    if (const auto marked = session_->mark(text); !marked) on_failure(marked.error());
  }

  void tell_part() {
    const GuidedPart& part = guide_.now();
    if (!part.instruction.empty()) {
      view_.say(fmt::format("> {}: {}", part.title, part.instruction));
    }
    if (!guide_.is_by_hand()) return;
    const GuidedPart* next = guide_.next();
    view_.say(next == nullptr ? std::string("  Enter: end the recording")
                              : fmt::format("  Enter: {}.  Ctrl-C: stop", next->title));
  }

  void stop(const std::string& why) {
    if (std::exchange(stopping_, true)) return;
    if (first_ns_) view_.show(status());
    view_.leave_block();
    view_.say(why + "; fetching what is missing");
    session_->stop([this](acq::Result<acq::SessionResult> result) { finish(std::move(result)); });
  }

  void finish(acq::Result<acq::SessionResult> result) {
    if (std::exchange(finished_, true)) return;
    outcome_.session = std::move(result);
    loop_.stop();
  }

  // A strap that is away may come back; one that is there and says nothing has ended.
  [[nodiscard]] bool all_silent() const {
    const double patience = first_ns_ ? kSilence_s : kFirstReading_s;
    const auto straps = session_->live();
    const auto gone = [](const acq::StrapLive& strap) { return strap.given_up; };
    if (std::all_of(straps.begin(), straps.end(), gone)) return true;
    if (clock_.now_ns() - std::max(began_ns_, newest_ns_) < real(patience)) return false;
    return std::all_of(straps.begin(), straps.end(),
                       [&](const acq::StrapLive& strap) { return gone(strap) || strap.connected; });
  }

  [[nodiscard]] LiveStatus status() const {
    LiveStatus status;
    status.part = guide_.now().title;
    status.seconds = seconds();
    status.reps = counter_.full_reps();
    status.part_reps = counter_.part_reps();
    status.counted_by = counted_by();
    for (const acq::StrapLive& strap : session_->live()) {
      const char* state = strap.given_up    ? "given up"
                          : strap.streaming ? kStreaming
                          : strap.connected ? "connected"
                                            : "away, trying again";
      status.straps.push_back(
          {strap.label, state, strap.battery_percent, strap.samples, strap.missing});
    }
    return status;
  }

  /// Since the first reading, s.
  [[nodiscard]] double seconds() const {
    return first_ns_ ? 1e-9 * static_cast<double>(clock_.now_ns() - *first_ns_) : 0.0;
  }
  /// Real seconds as nanoseconds of the session's clock.
  [[nodiscard]] std::int64_t real(double seconds) const {
    return std::llround(1e9 * seconds * plan_.speed);
  }

  const RecordPlan& plan_;
  LiveView& view_;
  acq::ScaledClock clock_;
  acq::EventLoop loop_;
  acq::Session* session_ = nullptr;
  PartGuide guide_;
  dsp::LiveSetCounter counter_;
  std::vector<Scale> scales_;
  std::int64_t began_ns_ = 0;
  std::optional<std::int64_t> first_ns_;  ///< host time of the first reading
  std::int64_t newest_ns_ = 0;
  std::int64_t next_show_ns_ = 0;
  bool stopping_ = false;
  bool finished_ = false;
  RecordOutcome outcome_{acq::fail("the session never ended")};
};

}  // namespace

RecordOutcome record_session(const RecordPlan& plan, bool typed, LiveView& view) {
  return Recorder(plan, typed, view).run();
}

}  // namespace strapline::cli
