#pragma once

#include <cstddef>
#include <memory>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/live_event.hpp"
#include "strapline/dsp/movement_spec.hpp"

namespace strapline::dsp {

/// The part of a recording that is on (measures.md "Alignment").
enum class LivePart { other, still, align, set, still_after };

/// Counts a set live on all straps. Where standing and the alignment movement came before the set
/// and a strap shows the movement's range angle, the count does what the analysis after the set
/// does, on what is known so far: the same range angle, the same phase borders, and what goes
/// another way than the set's reps is not counted, or is taken back. Otherwise it is LiveCounter's,
/// of the strap that moves most among those on the segment of the range angle (a thigh for a
/// squat), or among all where none is worn there; it keeps to that strap until another has clearly
/// moved more, say because a battery died. Deterministic; the analysis after the set has the last
/// word.
class LiveSetCounter {
 public:
  /// `errors`: of each strap's sensor, as many as straps and in their order; empty: the cautious
  /// defaults. Throws std::out_of_range where there are fewer.
  LiveSetCounter(const std::vector<Placement>& straps, const MovementSpec& movement,
                 const std::vector<SensorErrors>& errors = {});
  LiveSetCounter(LiveSetCounter&&) noexcept;
  LiveSetCounter& operator=(LiveSetCounter&&) noexcept;
  ~LiveSetCounter();

  /// As LiveCounter::update, for one strap by its index; time in s on the common clock.
  void update(std::size_t strap, double t_s, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc,
              bool trusted = true);
  /// A part begins with the next reading, and the one before is over. The set's count starts at
  /// zero and stands once the set is over.
  void begin_part(LivePart part);

  /// What is told since the last call. Where the count has moved to other straps, `moved` becomes
  /// true: the count is theirs from then on.
  struct Told {
    std::vector<LiveEvent> events;
    bool moved = false;
  };
  [[nodiscard]] Told take_events();

  /// Indices of the straps that count; not empty where there is a strap.
  [[nodiscard]] std::vector<std::size_t> counting() const;
  [[nodiscard]] int full_reps() const;
  [[nodiscard]] int part_reps() const;

 private:
  class Count;
  std::unique_ptr<Count> count_;
};

}  // namespace strapline::dsp
