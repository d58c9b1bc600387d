#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace strapline::recordings::h5 {

using Bytes = std::vector<std::byte>;

/// True where an HDF5 signature stands in these first bytes of a file: at 0, or at 512 and its
/// doubles after a user block ("HDF5 File Format Specification", II.A).
[[nodiscard]] bool has_signature(std::span<const std::byte> start);

/// The length that the file's own superblock states. Empty where the layout is another than what
/// HDF5 writes on every 64-bit system.
[[nodiscard]] std::optional<std::uint64_t> stated_end(std::span<const std::byte> start);

/// Raises one line where a file of this length that starts so is empty, no HDF5 file or cut short.
void check_start(std::span<const std::byte> start, std::uint64_t file_bytes);

}  // namespace strapline::recordings::h5
