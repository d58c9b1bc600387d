#pragma once

#include <vector>

#include "strapline/dsp/placement.hpp"
#include "strapline/recordings/synthetic/random.hpp"

#include "segment_frame.hpp"
#include "smooth.hpp"

namespace strapline::recordings::synthetic {

/// Something that the body does besides its reps, and when.
struct Stir {
  enum class Kind { walk, dip, arms, weight_shift, bow, slip };
  Kind kind = Kind::walk;
  double start = 0.0, duration = 1.0;  ///< s

  // Walking, stairs, turning on the spot.
  double stride_s = 1.1;
  double thigh = 0.0, thigh_offset = 0.0;  ///< rad, swing of the thighs and about what
  double knee = 0.0;                       ///< rad, knee flexion of the swinging leg
  double ahead = 0.0, up = 0.0;            ///< m, the way gone: stays
  double yaw = 0.0;                        ///< rad to the left: stays

  // Arms: a swing about the shoulder and a bend of the elbow, once or as waves.
  bool left = true, right = true;
  double arm = 0.0, elbow = 0.0;  ///< rad
  double wave_hz = 0.0;           ///< Hz; 0: once

  double size = 0.0;  ///< rad: of a dip, a weight shift, a bow, a strap's slip

  dsp::Placement strap;  ///< that slips about the limb

  [[nodiscard]] double end() const { return start + duration; }
};

/// What all of them together add at one time.
struct StirPose {
  Vector3<Jet> shift{Jet(0.0), Jet(0.0), Jet(0.0)};  ///< m
  Jet yaw;                                           ///< rad
  SidePair<Jet> thigh, knee, arm, elbow;             ///< rad, flexion
  Jet bow;                                           ///< rad
};

[[nodiscard]] StirPose stir_at(const std::vector<Stir>& stirs, double t);

/// rad, how far a strap is turned about its limb.
[[nodiscard]] Jet slip_at(const std::vector<Stir>& stirs, dsp::Placement placement, double t);

/// A few short steps, `ahead` m and turned by `yaw`.
[[nodiscard]] Stir short_steps(Random& random, double start, double ahead, double yaw);
[[nodiscard]] Stir walking(Random& random, double start, double duration);
[[nodiscard]] Stir stairs(Random& random, double start, double duration, bool up);
[[nodiscard]] Stir turning(Random& random, double start);
[[nodiscard]] Stir dip(Random& random, double start);
[[nodiscard]] Stir weight_shift(Random& random, double start);
[[nodiscard]] Stir bow(Random& random, double start);
/// One hand lets go and takes hold again.
[[nodiscard]] Stir hand_moves(Random& random, double start, bool right);
[[nodiscard]] Stir talking(Random& random, double start, double duration);
[[nodiscard]] Stir slip(Random& random, double start, dsp::Placement strap);

}  // namespace strapline::recordings::synthetic
