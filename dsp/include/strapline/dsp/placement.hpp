#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace strapline::dsp {

enum class Segment : std::uint8_t {
  pelvis,
  lower_back,
  upper_back,
  chest,
  thigh,
  shank,
  foot,
  upper_arm,
  forearm,
  bar,
  other
};

enum class Side : std::uint8_t { middle, left, right };

/// Where a strap sits: a body segment (or an implement) and its side.
/// `other` is any place that no measure knows (a single strap of a *free* movement).
struct Placement {
  Segment segment = Segment::other;
  Side side = Side::middle;
  auto operator<=>(const Placement&) const = default;
};

/// "left_thigh", "chest", "bar", "other": the one spelling used in files, options and output.
[[nodiscard]] std::string to_string(Placement placement);

/// Inverse of to_string; empty where the name is none of all_placements().
[[nodiscard]] std::optional<Placement> placement_from_string(std::string_view name);

/// Every valid placement, in head-to-toe order, left before right.
[[nodiscard]] const std::vector<Placement>& all_placements();

/// "left", "right" or "": a side by itself; and its inverse, middle for anything else.
[[nodiscard]] std::string side_name(Side side);
[[nodiscard]] Side side_from_name(std::string_view name);

/// "_left", "_right" or "": the suffix of a sided measure's name.
[[nodiscard]] std::string side_suffix(Side side);

}  // namespace strapline::dsp
