#pragma once

namespace strapline::dsp {

[[nodiscard]] constexpr double square(double x) { return x * x; }

}  // namespace strapline::dsp
