#pragma once

#include <string>
#include <vector>

#include "strapline/dsp/set_analysis.hpp"

namespace strapline::coaching {

/// One measure of a set as a whole, for people.
struct SetFigure {
  std::string name;   ///< "velocity_loss"
  std::string title;  ///< "velocity loss"
  std::string value;  ///< "12 %"
  std::string u;      ///< "± 3 %"
};

/// What was measured of the set as a whole, in the order shown; what was not is left out.
[[nodiscard]] std::vector<SetFigure> set_figures(const dsp::MeasureMap& measures);

/// "3 clusters: 4, 3 and 3 reps, with pauses of 18 s and 24 s"; empty where there was no pause.
[[nodiscard]] std::string say_clusters(const std::vector<dsp::RepCluster>& clusters);

/// For each rep, of which cluster it is, from 1.
[[nodiscard]] std::vector<int> cluster_numbers(const dsp::SetAnalysis& analysis);

}  // namespace strapline::coaching
