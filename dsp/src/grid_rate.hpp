#pragma once

namespace strapline::dsp {

inline constexpr double kGridRate = 100.0;  ///< Hz, of the grid that the straps of a set share

}  // namespace strapline::dsp
