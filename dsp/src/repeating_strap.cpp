#include "repeating_strap.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "strapline/dsp/motion_features.hpp"

#include "rest_velocity.hpp"
#include "strongest_turn.hpp"

namespace strapline::dsp {
namespace {

/// What one strap repeats. Heights that are integrated from rest to rest show slow and shallow reps
/// as they are, the filter's show the quick ones better: of the two looks the one that tells more.
RepetitionSet repetitions_of(const SetWork& work, std::size_t strap,
                             const RepetitionParams& params) {
  GridMotion motion = work.straps[strap].motion;
  RepetitionSet told = find_repetitions(motion_features(motion, work.t, work.parts.set), params);
  const Eigen::VectorXd between_rests =
      velocity_between_rests(work.input.straps[strap].data, work.straps[strap], work.t);
  if (between_rests == motion.vertical_velocity) return told;
  motion.vertical_velocity = between_rests;
  RepetitionSet other = find_repetitions(motion_features(motion, work.t, work.parts.set), params);
  return other.told > told.told ? other : told;
}

}  // namespace

TurningStrap repeating_strap(const SetWork& work) {
  TurningStrap best;
  RepetitionParams params;
  // A sine of that range, end to end, has this rms; the path of most reps is near to one.
  params.least_amplitude = work.input.movement.least_range / std::sqrt(8.0);
  double most_turned = -1.0;
  for (std::size_t k = 0; k < work.straps.size(); ++k) {
    const PreparedStrap& strap = work.straps[k];
    RepetitionSet set = repetitions_of(work, k, params);
    const double turned =
        set.reps.empty() ? strongest_turn(strap.motion, work.t, {work.parts.set}).energy : 0.0;
    const bool first_of_any = best.set.reps.empty() && turned > most_turned;
    if (set.reps.empty() ? first_of_any : set.strength > best.set.strength) {
      best = {&strap, std::move(set)};
    }
    most_turned = std::max(most_turned, turned);
  }
  return best;
}

}  // namespace strapline::dsp
