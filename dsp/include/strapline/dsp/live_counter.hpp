#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/live_event.hpp"
#include "strapline/dsp/orientation_filter.hpp"

namespace strapline::dsp {

struct LiveCounterParams {
  OrientationParams orientation;
  double least_range = 0.26;    ///< rad, a smaller excursion is no rep (MovementSpec)
  double away_share = 0.25;     ///< 1, of the usual range: nearer to home than this is home
  double split_share = 0.5;     ///< 1, of the peak: a dip this deep may part two excursions…
  double rise_share = 0.25;     ///< 1, of the peak: …once the angle grows by this much again
  double part_share = 0.5;      ///< 1, of the usual range: a smaller excursion is a part rep
  double onset = 0.05;          ///< rad, above the lowest angle since the last rep: the rep begins
  double longest_rep_s = 30.0;  ///< s, staying away longer is sitting down, not a rep
  double end_share = 0.05;      ///< 1, of the way back's peak rate: slower is standing again
  double rate_over_s = 0.05;    ///< s, over which the angle's rate is taken
  double longest_end_s = 1.0;   ///< s, after which a rep near home is over, however it creeps
};

/// Counts reps of one strap while they happen. The range angle is the one between the sensor's up
/// now and its up in the start posture: no alignment is needed, and turning round on the spot
/// changes nothing. The usual range is the running median of the excursions so far. Each excursion
/// is given out once, when its second moving phase is over, with the borders that the analysis
/// after the set would find in it; all are judged by the usual range as it is now, so the count
/// falls when the first ones turn out to have been part reps: events() tells which. Deterministic;
/// the analysis after the set, which knows the whole set and the body, has the last word.
class LiveCounter {
 public:
  /// All that the counter remembers; copy it to save, assign it to restore.
  struct State {
    OrientationFilter::State orientation;    ///< filled in by state()
    std::optional<Eigen::Vector3d> home_up;  ///< sensor's up in the start posture, unit
    std::vector<LiveRep> reps;               ///< of the set so far
    std::vector<LiveEvent> events;           ///< not yet taken
    std::vector<double> times, angles;       ///< s, rad, since shortly before the open excursion
    bool away = false;
    bool closing = false;      ///< near home again, but still moving
    double closing_s = 0.0;    ///< s, since when
    double back_rate = 0.0;    ///< rad/s, the fastest of the way back, positive
    double angle = 0.0;        ///< rad, now
    double valley = 0.0;       ///< rad, lowest since the last rep, or since the peak when away
    double valley_s = 0.0;     ///< s
    double begun_at = 0.0;     ///< rad, the angle that the open excursion began from
    double left_home_s = 0.0;  ///< s, when the angle was last near its lowest
    double peak = 0.0;         ///< rad, of the open excursion
    double peak_s = 0.0;       ///< s
    double last_s = 0.0;       ///< s, of the newest sample
    double turned = 0.0;       ///< rad, path length of all turning
  };

  explicit LiveCounter(const LiveCounterParams& params = {})
      : params_(params), filter_(params.orientation) {}

  /// Takes one sample: time s (increasing), rate rad/s, specific force m/s², sensor frame;
  /// `trusted` is false after a gap or at the end of the scale. Gives the excursion that it ended.
  std::optional<LiveRep> update(double t_s, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc,
                                bool trusted = true);

  /// The set begins: the count starts at zero. The posture now is the start posture, where the
  /// strap is at rest or no other is known.
  void begin_set();

  /// The reps and corrections since the last call, in the order in which they were known.
  [[nodiscard]] std::vector<LiveEvent> take_events();

  [[nodiscard]] int full_reps() const;
  [[nodiscard]] int part_reps() const;
  [[nodiscard]] double angle() const { return state_.angle; }    ///< rad from the start posture
  [[nodiscard]] double turned() const { return state_.turned; }  ///< rad, how much it moved so far
  [[nodiscard]] State state() const;
  void restore(const State& state);

 private:
  void follow_home(double t_s);
  std::optional<LiveRep> follow_away(double t_s);
  std::optional<LiveRep> follow_closing(double t_s);
  std::optional<LiveRep> close(double end_s);
  void remember(double t_s);
  [[nodiscard]] double rate() const;
  [[nodiscard]] LiveRep measured(double end_s) const;
  void judge_again(std::size_t newest);
  [[nodiscard]] double usual_range() const;

  LiveCounterParams params_;
  OrientationFilter filter_;
  State state_;
};

}  // namespace strapline::dsp
