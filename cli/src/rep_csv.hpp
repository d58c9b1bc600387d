#pragma once

#include <string>

#include "strapline/dsp/set_analysis.hpp"

namespace strapline::cli {

/// rep,part,side,cluster,start_s,end_s,measure,value,u,unit,not_measured: a row for every measure
/// of every rep (`rep` from 1, part reps among them), then those of the set as a whole, whose first
/// six cells are empty. Values as people read them (degrees, centimetres); a value that is not
/// known is empty and says why.
[[nodiscard]] std::string rep_csv(const dsp::SetAnalysis& analysis);

}  // namespace strapline::cli
