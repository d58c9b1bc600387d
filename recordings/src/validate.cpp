#include "strapline/recordings/validate.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <regex>
#include <set>
#include <string>

#include <fmt/format.h>

namespace strapline::recordings {
namespace {

using Problems = std::vector<dsp::Failure>;

// What a person who reads times off a clock may be off by.
constexpr double kSlack = 0.1;

void check_range(Problems& found, const char* name, const std::optional<double>& value, double low,
                 double high, const char* unit) {
  if (!value || (*value >= low && *value <= high)) return;
  found.push_back({fmt::format("{}{} cannot be right", *value, unit), name,
                   std::isinf(high) ? fmt::format("give {}{} or more", low, unit)
                                    : fmt::format("give {} to {}{}", low, high, unit)});
}

void check_part(Problems& found, const char* name, const std::optional<dsp::Interval>& part,
                double first, double last) {
  if (!part) return;
  if (!(part->from_s < part->to_s)) {
    found.push_back({fmt::format("the {} part ends at {} s, not after its start at {} s", name,
                                 part->to_s, part->from_s),
                     name, "give FROM:TO with FROM before TO"});
  } else if (!(part->from_s >= first - kSlack) || !(part->to_s <= last + kSlack)) {
    found.push_back({fmt::format("the {} part {} s to {} s lies outside the recording", name,
                                 part->from_s, part->to_s),
                     name,
                     fmt::format("the recording goes from {:.2f} s to {:.2f} s", first, last)});
  }
}

void check_times(Problems& found, const StrapRecord& strap) {
  for (Eigen::Index i = 0; i < strap.t.size(); ++i) {
    const bool good = std::isfinite(strap.t[i]) && (i == 0 || strap.t[i] > strap.t[i - 1]);
    if (good) continue;
    found.push_back({fmt::format("the time does not increase at sample {}", i + 1),
                     dsp::to_string(strap.placement), ""});
    return;
  }
}

void check_straps(Problems& found, const std::vector<StrapRecord>& straps) {
  std::set<dsp::Placement> seen;
  for (const StrapRecord& strap : straps) {
    const bool repeats = !seen.insert(strap.placement).second;
    if (repeats && strap.placement.segment != dsp::Segment::other) {
      found.push_back({"two straps are on this placement", dsp::to_string(strap.placement),
                       "give each strap its own"});
    }
    check_times(found, strap);
  }
}

void append(Problems& found, const Problems& more) {
  found.insert(found.end(), more.begin(), more.end());
}

}  // namespace

dsp::Result<dsp::Placement> parse_placement(std::string_view name) {
  if (const auto placement = dsp::placement_from_string(name)) return *placement;
  std::string names;
  for (const dsp::Placement placement : dsp::all_placements()) {
    names += (names.empty() ? "" : ", ") + dsp::to_string(placement);
  }
  return dsp::fail(fmt::format("unknown placement \"{}\"", name), {}, "use one of " + names);
}

std::vector<dsp::Failure> problems(const SetDescription& set) {
  constexpr double kNoLimit = std::numeric_limits<double>::infinity();
  // ISO 8601, UTC, whole seconds or fractions: the form that sorts by time as text.
  static const std::regex kTime(R"(\d{4}-[01]\d-[0-3]\dT[0-2]\d:[0-5]\d:[0-6]\d(\.\d+)?Z)");
  Problems found;
  if (set.client.empty()) found.push_back({"the client is not named", "client", "name one"});
  if (set.movement.empty()) found.push_back({"the movement is not named", "movement", "name one"});
  if (!set.started_utc.empty() && !std::regex_match(set.started_utc, kTime)) {
    found.push_back({fmt::format("\"{}\" is not a UTC time", set.started_utc), "started_utc",
                     "write it as 2026-11-25T08:00:00Z"});
  }
  check_range(found, "load", set.load_kg, 0.0, kNoLimit, " kg");
  if (set.load_kg && std::isinf(*set.load_kg)) {
    found.push_back({"the load is infinite", "load", "give it in kg"});
  }
  check_range(found, "effort", set.effort_rpe, 1.0, 10.0, "");
  check_range(found, "reps in reserve", set.reps_in_reserve, 0.0, kNoLimit, "");
  check_range(found, "pain", set.pain, 0.0, 10.0, "");
  return found;
}

std::vector<dsp::Failure> problems(const dsp::BodyDimensions& body) {
  Problems found;
  check_range(found, "height", body.height, 0.5, 2.6, " m");
  check_range(found, "thigh length", body.thigh, 0.05, 1.0, " m");
  check_range(found, "shank length", body.shank, 0.05, 1.0, " m");
  check_range(found, "foot length", body.foot, 0.05, 1.0, " m");
  check_range(found, "upper arm length", body.upper_arm, 0.05, 1.0, " m");
  check_range(found, "forearm length", body.forearm, 0.05, 1.0, " m");
  check_range(found, "soft tissue of thigh and upper arm", body.soft_tissue_thigh, 0.0, 0.5,
              " rad");
  check_range(found, "soft tissue of the other segments", body.soft_tissue_limb, 0.0, 0.5, " rad");
  check_range(found, "lean of a standing segment", body.standing_lean, 0.0, 0.5, " rad");
  check_range(found, "error of the toe line", body.toe_line, 0.0, 0.5, " rad");
  check_range(found, "error of the hinges", body.hinge_square, 0.0, 0.5, " rad");
  check_range(found, "error of the raise's plane", body.raise_plane, 0.0, 0.5, " rad");
  check_range(found, "error of the bow's plane", body.bow_plane, 0.0, 0.5, " rad");
  return found;
}

std::vector<dsp::Failure> problems(const dsp::RecordingParts& parts,
                                   const std::vector<StrapRecord>& straps) {
  double first = std::numeric_limits<double>::infinity();
  double last = -first;
  for (const StrapRecord& strap : straps) {
    if (strap.t.size() == 0) continue;
    first = std::min(first, strap.t[0]);
    last = std::max(last, strap.t[strap.t.size() - 1]);
  }
  Problems found;
  check_part(found, "still", parts.still, first, last);
  check_part(found, "align", parts.align, first, last);
  check_part(found, "set", parts.set, first, last);
  check_part(found, "still after", parts.still_after, first, last);
  return found;
}

std::vector<dsp::Failure> problems(const Recording& recording) {
  Problems found = problems(recording.description);
  append(found, problems(recording.body));
  append(found, problems(recording.parts, recording.straps));
  check_straps(found, recording.straps);
  return found;
}

dsp::Result<void> validate(const Recording& recording) {
  const auto found = problems(recording);
  if (!found.empty()) return tl::make_unexpected(found.front());
  return {};
}

}  // namespace strapline::recordings
