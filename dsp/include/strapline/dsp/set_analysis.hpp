#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/body.hpp"
#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/measure.hpp"
#include "strapline/dsp/movement_spec.hpp"

namespace strapline::dsp {

/// Everything that the analysis of one set starts from.
struct SetInput {
  std::vector<StrapSeries> straps;
  RecordingParts parts;
  BodyDimensions body;
  MovementSpec movement;
};

/// One rep: phase borders on the common time and what was measured (measures.md "Rep").
struct Rep {
  double start_s = 0.0;     ///< the first moving phase begins
  double turn_in_s = 0.0;   ///< it ends
  double turn_out_s = 0.0;  ///< the second moving phase begins
  double end_s = 0.0;       ///< it ends
  bool part = false;        ///< reached less than half of the set's median range
  MeasureMap measures;
  Side side = Side::middle;  ///< that did it, where one leg works at a time (lunges in turn)
};

/// Reps that follow each other without a pause: a set with pauses of about 10–30 s is one set of
/// several clusters.
struct RepCluster {
  std::size_t first = 0;  ///< index of SetAnalysis::reps
  std::size_t count = 0;  ///< of reps, part reps among them
  double pause_s = 0.0;   ///< s, before it; 0 for the first
};

/// The clusters of reps in time order, one at least where there are reps.
[[nodiscard]] std::vector<RepCluster> clusters_of(const std::vector<Rep>& reps);

/// An angle or distance over the whole recording, on SetAnalysis::t.
struct Trace {
  std::string name;  ///< as in MeasureMap
  Unit unit = Unit::radian;
  Eigen::VectorXd value;  ///< n; NaN where unknown
};

/// How far a strap was tilted on the limb when the client stood still again after the set, rad:
/// where the limb's long axis points in the strap. A twist about that axis shows in the heading
/// alone, which drifts by more than straps slip; it is not told.
struct StrapShift {
  double tilt = 0.0;
  double u = 0.0;  ///< 1 sigma
};

/// One strap's part in the result: how it was aligned, and what to distrust.
struct StrapReport {
  Placement placement;
  bool aligned = false;        ///< sensor-to-segment rotation found
  std::optional<double> tilt;  ///< rad, of the strap's nearest axis from the limb's long axis
  std::optional<double> hinge_axis_u;  ///< rad, standard uncertainty of the flexion axis
  Eigen::Vector3d gyr_bias = Eigen::Vector3d::Zero();  ///< rad/s, removed
  std::optional<StrapShift> shift;  ///< empty without a still part before and after the set
};

struct SetAnalysis {
  std::string algorithm;                     ///< name and version of what made this
  std::map<std::string, double> parameters;  ///< every tuning value, SI
  Eigen::VectorXd t;                         ///< n, seconds, uniform
  std::string range_trace;                   ///< name of the trace that the reps were found on
  std::vector<Trace> traces;
  std::vector<Rep> reps;             ///< in time order, part reps among them
  std::vector<RepCluster> clusters;  ///< of `reps`
  MeasureMap measures;  ///< of the set as a whole: steadiness, velocity loss, sides that take turns
  std::vector<StrapReport> straps;
  std::vector<std::string> notes;  ///< what a reader must know ("no still part: …")

  [[nodiscard]] int full_reps() const;
};

/// Align, estimate orientation, segment and measure. Deterministic; no side effects.
/// Fails where nothing can be said at all (no strap, no samples, a required placement missing).
[[nodiscard]] Result<SetAnalysis> analyse_set(const SetInput& input);

}  // namespace strapline::dsp
