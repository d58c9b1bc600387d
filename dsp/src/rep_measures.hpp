#pragma once

#include <vector>

#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "measure_traces.hpp"

namespace strapline::dsp {

/// Adds to `rep` every statistic of measures.md that this trace has.
void add_statistics(const MeasureTrace& trace, const Eigen::VectorXd& t, const Excursion& excursion,
                    Rep& rep);

/// Range and tempo (measures.md) of reps in time order; `first` says which moving phase is which.
/// `range_u` is the standard uncertainty of the range, rad, per rep.
void add_range_and_tempo(const std::vector<Excursion>& excursions, FirstPhase first,
                         const std::vector<double>& range_u, std::vector<Rep>& reps);

/// Borders of an excursion as a rep without measures.
[[nodiscard]] Rep to_rep(const Excursion& excursion);

}  // namespace strapline::dsp
