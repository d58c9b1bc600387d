#pragma once

#include <optional>
#include <string>
#include <vector>

#include <hdf5.h>

#include "strapline/dsp/measure.hpp"
#include "strapline/dsp/set_analysis.hpp"

namespace strapline::recordings {

/// Inverse of dsp::si_unit; raises where the spelling is none of them.
[[nodiscard]] dsp::Unit unit_from_si(const std::string& name, const std::string& where);

/// Writes `measures/NAME/{value,u,reason}`, one row per rep. A row without a value has NaN in both
/// numbers and says why in `reason`; an empty reason beside NaN: not looked for in that rep.
void write_measures(hid_t reps_group, const std::vector<dsp::Rep>& reps);

/// Adds what write_measures stored to `reps`, one per row.
void read_measures(hid_t reps_group, std::vector<dsp::Rep>& reps);

}  // namespace strapline::recordings
