#include "strapline/coaching/wording_within_set.hpp"

#include <fmt/format.h>

namespace strapline::coaching {

std::string thirds_verdict(Verdict verdict) {
  if (verdict == Verdict::cannot_tell) return "cannot tell";
  return verdict == Verdict::changed ? "changed" : "unchanged";
}

std::string sides_verdict(Verdict verdict) {
  if (verdict == Verdict::cannot_tell) return "cannot tell";
  return verdict == Verdict::changed ? "differs" : "alike";
}

std::string say_thirds(const WithinSet& within) {
  if (within.full_reps < kLeastRepsForThirds) {
    return fmt::format("First and last third are compared from {} full reps on; this set has {}.",
                       kLeastRepsForThirds, within.full_reps);
  }
  if (within.thirds.empty()) {
    return fmt::format(
        "First and last third are not compared: no measure was seen in {} full reps.",
        kLeastRepsForThirds);
  }
  return "First third of the reps against the last. The straps sit the same for both, so the noise "
         "is the spread of the reps alone.";
}

std::string_view say_sides() {
  return "Left against right, over the same reps. The noise is the spread of the reps and the "
         "alignment of each side's straps.";
}

std::string say_chance_within(const std::vector<WithinSetFinding>& findings) {
  if (findings.empty()) return {};
  return fmt::format(
      "Each is judged at 95 %: of {} without any true difference, chance alone would tell one in "
      "about {:.1f}.",
      findings.size(), 0.05 * static_cast<double>(findings.size()));
}

}  // namespace strapline::coaching
