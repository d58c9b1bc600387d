#pragma once

#include <string>
#include <vector>

#include "strapline/dsp/set_analysis.hpp"

namespace strapline::coaching {

/// What each rep is called: full reps are counted "1", "2", …, part reps are "part".
[[nodiscard]] std::vector<std::string> rep_labels(const std::vector<dsp::Rep>& reps);

/// "5", or "4 full, 1 part".
[[nodiscard]] std::string count_reps(const std::vector<dsp::Rep>& reps);

/// Full names of every measure that a rep knows, measured or not, in the order shown.
[[nodiscard]] std::vector<std::string> measure_names(const std::vector<dsp::Rep>& reps);

/// The value, or null where the rep has none.
[[nodiscard]] const dsp::MeasuredValue* measured(const dsp::Rep& rep, const std::string& name);

/// A reason why something was not measured, once, with all that it concerns.
struct NotMeasuredGroup {
  std::string reason;
  std::string measures;  ///< "knee travel, left; trunk lean (reps 2, 3)"
};
[[nodiscard]] std::vector<NotMeasuredGroup> not_measured(const std::vector<dsp::Rep>& reps);

}  // namespace strapline::coaching
