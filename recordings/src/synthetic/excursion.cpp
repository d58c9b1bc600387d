#include "excursion.hpp"

#include <algorithm>

namespace strapline::recordings::synthetic {

namespace {

/// Duration of a whole profile whose phase, between its 5 % points, lasts `phase`.
double profile_duration(double phase) { return phase / (1.0 - 2.0 * kOnsetShare); }

/// When the shape is deepest, and the gain that makes it 1 there. In a bounce lifting begins
/// before lowering ends; the shape's rate then falls through zero once in between.
void find_bottom(Excursion& e) {
  double from = e.lifting_start;
  double to = e.start + e.lowering;
  e.gain = 1.0;
  e.bottom = 0.5 * (from + to);
  if (from >= to) return;
  for (int i = 0; i < 60; ++i) {
    e.bottom = 0.5 * (from + to);
    (shape(e, Jet::time(e.bottom)).d > 0.0 ? from : to) = e.bottom;
  }
  e.gain = 1.0 / shape(e, e.bottom);
}

}  // namespace

void lay_out(Excursion& e, double start, double lowering, double hold, double lifting) {
  e.start = start;
  e.lowering = profile_duration(lowering);
  e.lifting = profile_duration(lifting);
  e.lifting_start = start + (1.0 - kOnsetShare) * e.lowering + hold - kOnsetShare * e.lifting;
  e.lifting_start = std::max(e.lifting_start, start + 0.6 * e.lowering);
  find_bottom(e);
}

double start_after(const Excursion& e, double hold, double next_lowering) {
  const double start =
      e.end() - kOnsetShare * e.lifting + hold - kOnsetShare * profile_duration(next_lowering);
  return std::max(start, e.lifting_start + 0.6 * e.lifting);
}

}  // namespace strapline::recordings::synthetic
