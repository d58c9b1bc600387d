#pragma once

#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// {value, u, unit} in what people read, or {not_measured: reason}.
[[nodiscard]] nlohmann::ordered_json measure_json(const dsp::Measure& measure);

/// By name, in the order shown.
[[nodiscard]] nlohmann::ordered_json measures_json(const dsp::MeasureMap& measures);

/// Times, `part`, `side` and `measures` (in the order shown) of each rep.
[[nodiscard]] nlohmann::ordered_json reps_json(const std::vector<dsp::Rep>& reps);

/// `first_rep` (from 1), `reps` and `pause_s` before it of each cluster.
[[nodiscard]] nlohmann::ordered_json clusters_json(const std::vector<dsp::RepCluster>& clusters);

/// Who, what, how; null where it was not logged.
[[nodiscard]] nlohmann::ordered_json set_json(const recordings::SetDescription& set);

/// Two spaces per level, a line break at the end; bytes that are no UTF-8 are replaced.
[[nodiscard]] std::string json_text(const nlohmann::ordered_json& json);

}  // namespace strapline::cli
