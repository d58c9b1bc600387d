#pragma once

#include <map>
#include <string>

#include "strapline/dsp/placement.hpp"

namespace strapline::recordings {

/// Group names for straps: the placement's name, then "other_2", "other_3" where it repeats.
class StrapNames {
 public:
  [[nodiscard]] std::string next(dsp::Placement placement) {
    const std::string name = dsp::to_string(placement);
    const int times = ++seen_[placement];
    return times == 1 ? name : name + "_" + std::to_string(times);
  }

 private:
  std::map<dsp::Placement, int> seen_;
};

}  // namespace strapline::recordings
