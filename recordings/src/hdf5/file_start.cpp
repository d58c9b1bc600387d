#include "hdf5/file_start.hpp"

#include <array>
#include <cstring>
#include <string>

#include "hdf5/error.hpp"

namespace strapline::recordings::h5 {
namespace {

constexpr std::array<unsigned char, 8> kSignature{0x89, 'H', 'D', 'F', '\r', '\n', 0x1a, '\n'};

bool signature_at(std::span<const std::byte> start, std::size_t offset) {
  return start.size() >= offset + kSignature.size() &&
         std::memcmp(start.data() + offset, kSignature.data(), kSignature.size()) == 0;
}

}  // namespace

bool has_signature(std::span<const std::byte> start) {
  if (signature_at(start, 0)) return true;
  for (std::size_t offset = 512; offset < start.size(); offset *= 2) {
    if (signature_at(start, offset)) return true;
  }
  return false;
}

// The end-of-file address of the superblock (same specification; little-endian, 8-byte offsets).
std::optional<std::uint64_t> stated_end(std::span<const std::byte> start) {
  if (start.size() < 52 || !signature_at(start, 0)) return std::nullopt;
  const auto at = [&](std::size_t i) { return std::to_integer<std::uint64_t>(start[i]); };
  const std::uint64_t version = at(8);
  if (version > 3 || at(version < 2 ? 13 : 9) != 8) return std::nullopt;
  constexpr std::array<std::size_t, 4> kEndField{40, 44, 28, 28};
  std::uint64_t end = 0;
  for (std::size_t i = 8; i-- > 0;) end = end << 8 | at(kEndField[version] + i);
  return end;
}

void check_start(std::span<const std::byte> start, std::uint64_t file_bytes) {
  if (file_bytes == 0) raise("the file is empty");
  if (!has_signature(start)) raise("not an HDF5 file", {}, "give a file that this program wrote");
  const auto end = stated_end(start);
  if (end && *end > file_bytes) {
    raise("the file is cut short: " + std::to_string(file_bytes) + " of " + std::to_string(*end) +
              " bytes",
          {}, "restore it from a copy, or recover it from its journal");
  }
}

}  // namespace strapline::recordings::h5
