#pragma once

#include "strapline/recordings/recording.hpp"

#include "hdf5/error.hpp"

namespace strapline::recordings {

/// What was entered, as the attributes of a recording's `/set`. Attributes that are there already
/// go where the description has nothing for them; those of others stay.
void write_set(hid_t set_group, const SetDescription& set);

/// Raises where the client or the movement is missing.
[[nodiscard]] SetDescription read_set(hid_t set_group);

}  // namespace strapline::recordings
