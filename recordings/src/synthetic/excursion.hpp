#pragma once

#include "strapline/dsp/placement.hpp"

#include "smooth.hpp"

namespace strapline::recordings::synthetic {

/// Timing and size of one excursion (a rep, a part rep or an alignment movement). Its shape rises
/// from 0 to 1 in the first phase (lowering, of a squat) and falls back in the second; every drive
/// is an amplitude times it.
struct Excursion {
  double start = 0.0;          ///< s, the first phase's profile begins
  double lowering = 1.0;       ///< s, duration of its profile, not of the phase
  double lifting_start = 0.0;  ///< s; may lie before the end of the first profile: a bounce
  double lifting = 1.0;        ///< s
  double lowering_skew = 0.0;
  double lifting_skew = 0.0;
  double gain = 1.0;    ///< makes the shape's peak 1 in a bounce
  double bottom = 0.0;  ///< s, when the shape is furthest
  double travel = 0.0;  ///< rad of the range angle at the bottom
  bool align = false;
  bool lowering_sticks = false, lifting_sticks = false;  ///< the phase slows down half-way
  dsp::Side side = dsp::Side::middle;                    ///< of the leg that works, where one does

  [[nodiscard]] double end() const { return lifting_start + lifting; }
};

/// Lays an excursion's profiles so that its phases' 5 % points last as asked, and finds its bottom.
void lay_out(Excursion& e, double start, double lowering, double hold, double lifting);

/// Where the next excursion's first profile begins, so that the 5 % points lie `hold` apart.
[[nodiscard]] double start_after(const Excursion& e, double hold, double next_lowering);

template <class S>
S shape(const Excursion& e, const S& t) {
  if (value_of(t) <= e.start || value_of(t) >= e.end()) return S(0.0);
  const S there = (t - S(e.start)) / S(e.lowering);
  const S back = (t - S(e.lifting_start)) / S(e.lifting);
  const S down =
      e.lowering_sticks ? sticking_step<S>(there) : skewed_step<S>(there, e.lowering_skew);
  const S up = e.lifting_sticks ? sticking_step<S>(back) : skewed_step<S>(back, e.lifting_skew);
  return S(e.gain) * (down - up);
}

}  // namespace strapline::recordings::synthetic
