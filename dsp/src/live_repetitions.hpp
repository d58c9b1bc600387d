#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/live_event.hpp"
#include "strapline/dsp/orientation_smoother.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "live_motion.hpp"
#include "told_reps.hpp"

namespace strapline::dsp {

/// The reps of a movement that is known only by its repeating, while it happens: what the analysis
/// after the set finds in the recording, found in what there is of it so far. That shows a rep once
/// another is like it and looks again every two seconds only, so the excursions of the strap that
/// turns most are told at once, and what repeats says which of them are reps.
class LiveRepetitions {
 public:
  /// `errors`: of each strap's sensor, in their order.
  LiveRepetitions(const std::vector<Placement>& straps, const MovementSpec& movement,
                  const std::vector<SensorErrors>& errors);

  /// The set begins at `from_s`; what was told before is forgotten.
  void begin(double from_s);
  /// One reading of strap `k`: s, rad/s, m/s²; `trusted` as OrientationFilter::update has it.
  void keep(std::size_t k, double t_s, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc,
            bool trusted);
  /// An excursion that is just over.
  void take(const LiveRep& rep) { told_.add(rep); }
  /// Looks again, with the grid known up to index `end`, where it is time; `over`: the set is.
  void look(const LiveGrid& grid, Eigen::Index end, bool over);

  [[nodiscard]] std::vector<LiveEvent> take_events() { return told_.take_events(); }
  [[nodiscard]] int full_reps() const { return told_.full_reps(); }
  [[nodiscard]] int part_reps() const { return told_.part_reps(); }

 private:
  struct Readings {
    std::vector<double> t;                  ///< s
    std::vector<Eigen::Vector3d> gyr, acc;  ///< rad/s, m/s²
    std::vector<std::uint8_t> flags;        ///< see InertialSeries

    [[nodiscard]] InertialSeries from(double from_s) const;
  };

  [[nodiscard]] SetInput input_from(double from_s) const;
  /// `cut_s`: what ended before is settled.
  void tell(const std::vector<Excursion>& excursions, double cut_s, double now_s, bool over);

  MovementSpec movement_;
  std::vector<Placement> placements_;
  std::vector<SensorErrors> errors_;
  std::vector<Readings> readings_;
  double from_s_ = 0.0;
  double next_look_s_ = 0.0;
  OrientationSmoother smoother_;
  ToldReps told_;
};

}  // namespace strapline::dsp
