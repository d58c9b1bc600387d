#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

/// Numbers of JOURNAL.md.
namespace strapline::acquisition {

/// A byte above 127 and both line ends show up transfers that mangle binary files.
inline constexpr std::array<std::uint8_t, 8> kJournalMagic = {0x8A, 'S',  'L',  'J',
                                                              '\r', '\n', 0x1A, '\n'};
inline constexpr std::size_t kJournalFileHeader = 12;    ///< magic, u16 version, u16 zero
inline constexpr std::size_t kJournalRecordHeader = 20;  ///< check, length, kind, 0, strap, time
inline constexpr std::size_t kJournalCheckedFrom = 4;    ///< the check covers what follows it

}  // namespace strapline::acquisition
