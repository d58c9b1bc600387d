#pragma once

#include <cstdint>

namespace strapline::acquisition {

/// Turns a counter of 1 to 64 bits that wraps around into one that does not: every value is taken
/// to lie within half a turn of the newest one, so late values find their place.
class CounterUnwrap {
 public:
  explicit CounterUnwrap(unsigned bits) : shift_(64U - bits) {}

  [[nodiscard]] std::int64_t operator()(std::uint64_t raw) {
    const std::int64_t value = started_ ? newest_ + step_to(raw) : static_cast<std::int64_t>(raw);
    if (!started_ || value > newest_) newest_ = value;
    started_ = true;
    return value;
  }

 private:
  // The difference modulo 2^bits, sign-extended.
  [[nodiscard]] std::int64_t step_to(std::uint64_t raw) const {
    const std::uint64_t difference = raw - static_cast<std::uint64_t>(newest_);
    return static_cast<std::int64_t>(difference << shift_) >> shift_;
  }

  unsigned shift_;
  std::int64_t newest_ = 0;
  bool started_ = false;
};

}  // namespace strapline::acquisition
