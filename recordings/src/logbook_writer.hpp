#pragma once

#include "strapline/recordings/logbook.hpp"

#include "hdf5/image.hpp"

namespace strapline::recordings {

/// The logbook as the bytes of its file. Equal logbooks give equal bytes.
[[nodiscard]] h5::Bytes logbook_bytes(const Logbook& logbook);

/// By start time, then by set_id; false where the set is in already.
bool insert_in_order(Logbook& logbook, const LoggedSet& set);

}  // namespace strapline::recordings
