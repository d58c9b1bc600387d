#include "strapline/dsp/placement.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace strapline::dsp {
namespace {

struct NamedSegment {
  Segment segment;
  std::string_view name;
  bool sided;
};

constexpr std::array<NamedSegment, 11> kSegments{{{Segment::upper_back, "upper_back", false},
                                                  {Segment::chest, "chest", false},
                                                  {Segment::upper_arm, "upper_arm", true},
                                                  {Segment::forearm, "forearm", true},
                                                  {Segment::lower_back, "lower_back", false},
                                                  {Segment::pelvis, "pelvis", false},
                                                  {Segment::thigh, "thigh", true},
                                                  {Segment::shank, "shank", true},
                                                  {Segment::foot, "foot", true},
                                                  {Segment::bar, "bar", false},
                                                  {Segment::other, "other", false}}};

std::vector<Placement> make_all() {
  std::vector<Placement> all;
  for (const auto& [segment, name, sided] : kSegments) {
    if (sided) {
      all.push_back({segment, Side::left});
      all.push_back({segment, Side::right});
    } else {
      all.push_back({segment, Side::middle});
    }
  }
  return all;
}

}  // namespace

std::string to_string(Placement placement) {
  const auto* found = std::find_if(kSegments.begin(), kSegments.end(),
                                   [&](const auto& s) { return s.segment == placement.segment; });
  std::string name(found->name);
  switch (placement.side) {
    case Side::left:
      return "left_" + name;
    case Side::right:
      return "right_" + name;
    case Side::middle:
      break;
  }
  return name;
}

std::optional<Placement> placement_from_string(std::string_view name) {
  for (const Placement placement : all_placements()) {
    if (to_string(placement) == name) return placement;
  }
  return std::nullopt;
}

const std::vector<Placement>& all_placements() {
  static const std::vector<Placement> all = make_all();
  return all;
}

std::string side_suffix(Side side) {
  switch (side) {
    case Side::left:
      return "_left";
    case Side::right:
      return "_right";
    case Side::middle:
      break;
  }
  return {};
}

std::string side_name(Side side) {
  if (side == Side::middle) return {};
  return side == Side::left ? "left" : "right";
}

Side side_from_name(std::string_view name) {
  if (name == "left") return Side::left;
  return name == "right" ? Side::right : Side::middle;
}

}  // namespace strapline::dsp
