#include "strapline/recordings/synthetic/disturbances.hpp"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "strapline/recordings/synthetic/random.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr int kLeastReps = 6;

struct Named {
  std::string_view name;
  bool Disturbances::*member;
};

constexpr std::array<Named, 8> kNamed{{{"unracking", &Disturbances::unracking},
                                       {"walk_out", &Disturbances::walk_out},
                                       {"re_grip", &Disturbances::re_grip},
                                       {"pause", &Disturbances::pause},
                                       {"part_reps", &Disturbances::part_reps},
                                       {"grind", &Disturbances::grind},
                                       {"strap_fiddling", &Disturbances::strap_fiddling},
                                       {"rest", &Disturbances::rest}}};

double& time_before(SquatSetParams& p) { return p.parts.before_set; }
double& time_before(OneLegSetParams& p) { return p.parts.before_set; }
double& time_before(ArmSetParams& p) { return p.parts.before_ready; }

/// s that the disturbances around the set take, with what lies between them.
double time_around(const Disturbances& d, Random& random) {
  double time = 2.0;
  if (d.strap_fiddling) time += 5.0;
  if (d.rest) time += random.uniform(6.0, 15.0);
  if (d.unracking) time += 2.5;
  if (d.walk_out) time += 5.0;
  if (d.re_grip) time += 4.0;
  return time;
}

template <class Params>
void disturb(const Disturbances& d, Params& p) {
  constexpr std::uint64_t kStream = 30;
  Random random(p.seed, kStream);
  if (d.part_reps || d.pause || d.grind) p.reps = std::max(p.reps, kLeastReps);
  if (d.part_reps) {
    const int first = random.integer(1, p.reps - 3);
    p.part_reps = {first, random.integer(first + 1, p.reps - 2)};
  }
  if (d.pause) {
    p.pause_after = random.integer(1, p.reps - 3);
    p.pause = random.uniform(10.0, 30.0);
  }
  if (d.grind) p.grind = random.uniform(1.8, 3.0);
  time_before(p) = std::max(time_before(p), time_around(d, random));
  p.parts.after_set = time_around(d, random);
}

}  // namespace

Disturbances all_disturbances() {
  Disturbances all;
  for (const Named& one : kNamed) all.*one.member = true;
  return all;
}

std::vector<std::string> disturbance_names() {
  std::vector<std::string> names;
  for (const Named& one : kNamed) names.emplace_back(one.name);
  return names;
}

dsp::Result<Disturbances> parse_disturbances(const std::vector<std::string>& names) {
  Disturbances found;
  for (const std::string& name : names) {
    if (name == "all") return all_disturbances();
    const auto* one = std::find_if(kNamed.begin(), kNamed.end(),
                                   [&](const Named& named) { return named.name == name; });
    if (one == kNamed.end()) {
      std::string known = "all";
      for (const Named& named : kNamed) known += ", " + std::string(named.name);
      return dsp::fail("no disturbance '" + name + "'", "", "use one of " + known);
    }
    found.*one->member = true;
  }
  return found;
}

SetParams disturbed(SetParams params, const Disturbances& disturbances) {
  if (!disturbances.any()) return params;
  std::visit([&](auto& one) { disturb(disturbances, one); }, params);
  return params;
}

}  // namespace strapline::recordings::synthetic
