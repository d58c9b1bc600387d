#pragma once

#include <optional>

#include "strapline/dsp/inertial_series.hpp"

namespace strapline::dsp {

/// A length and its standard uncertainty, metres.
struct Length {
  double value = 0.0;
  double u = 0.0;
};

/// Body dimensions, metres. Unset lengths are estimated from the height; what is unset of the
/// errors is the usual (ErrorBudget).
struct BodyDimensions {
  std::optional<double> height;
  std::optional<double> thigh;      ///< hip centre to knee centre
  std::optional<double> shank;      ///< knee centre to ankle centre
  std::optional<double> foot;       ///< heel to toe tip
  std::optional<double> upper_arm;  ///< shoulder centre to elbow centre
  std::optional<double> forearm;    ///< elbow centre to wrist centre
  /// How far skin and muscle turn a strap against the bone at full flexion (110°), rad, 1 sigma.
  std::optional<double> soft_tissue_thigh;  ///< thigh, upper arm
  std::optional<double> soft_tissue_limb;   ///< shank, forearm, pelvis and trunk
  /// How far a segment leans from plumb while the client stands still, rad, 1 sigma per axis: less
  /// than usual where a wall or a plumb line was used.
  std::optional<double> standing_lean;
  /// How far off the toe line the easy bends lead the knee, rad about the vertical, 1 sigma.
  std::optional<double> toe_line;
  /// How far from square the axes of knee and elbow are to the bones on either side, rad, 1 sigma.
  std::optional<double> hinge_square;
  /// How far ahead of or behind the frontal plane the arms are raised to the side, rad, 1 sigma.
  std::optional<double> raise_plane;
  /// How far to a side of straight ahead the bow goes, rad, 1 sigma.
  std::optional<double> bow_plane;
};

/// The parts of a recording (measures.md "Alignment"), common time; each may be missing.
struct RecordingParts {
  std::optional<Interval> still;        ///< standing upright, feet as for the set
  std::optional<Interval> align;        ///< the movement that defines the axes
  std::optional<Interval> set;          ///< the set itself
  std::optional<Interval> still_after;  ///< standing still again, after the set
};

}  // namespace strapline::dsp
