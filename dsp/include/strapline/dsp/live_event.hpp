#pragma once

#include <cstddef>

#include "strapline/dsp/placement.hpp"

namespace strapline::dsp {

/// One excursion as it was seen live.
struct LiveRep {
  double start_s = 0.0;      ///< the first moving phase begins
  double turn_in_s = 0.0;    ///< it ends
  double turn_s = 0.0;       ///< of the furthest point
  double turn_out_s = 0.0;   ///< the second moving phase begins
  double end_s = 0.0;        ///< it ends
  double range = 0.0;        ///< rad
  bool part = false;         ///< less than half of the usual range so far: shown, not counted
  bool withdrawn = false;    ///< was told, and turned out to be no rep: not counted
  Side side = Side::middle;  ///< that did it, where one leg works at a time
};

/// What is told while it happens. Each rep is told once; whatever is known better later is told as
/// a correction of that rep.
struct LiveEvent {
  enum class Kind { rep, correction };
  Kind kind = Kind::rep;
  std::size_t number = 0;  ///< of the excursion since the set began, from 0
  LiveRep rep;             ///< as it is known now
  LiveRep before;          ///< of a correction: as it was told last
};

}  // namespace strapline::dsp
