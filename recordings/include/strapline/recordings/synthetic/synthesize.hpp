#pragma once

#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/arm_params.hpp"
#include "strapline/recordings/synthetic/desk_motion.hpp"
#include "strapline/recordings/synthetic/disturbances.hpp"
#include "strapline/recordings/synthetic/set_choice.hpp"
#include "strapline/recordings/synthetic/set_truth.hpp"
#include "strapline/recordings/synthetic/squat_params.hpp"
#include "strapline/recordings/synthetic/strap_setup.hpp"

namespace strapline::recordings::synthetic {

/// What truth_json holds beyond reps, body, parts and straps; large, hence on request.
struct TruthDetail {
  double traces_hz = 0.0;     ///< Hz of the bones' angles and distances over time; 0: none
  bool orientations = false;  ///< each strap's orientation and each sample's true time
};

/// A synthetic set with its truth, as types.
struct SyntheticSet {
  Recording recording;  ///< truth_json filled
  std::vector<RepTruth> reps;
  bool lowers_first = true;        ///< which phase of each rep is which
  std::vector<StrapTruth> straps;  ///< in the order of the recording's straps
};

/// Makes the set: the same for the same arguments, and a strap's readings do not depend on which
/// others are worn. Fails with one line on values out of bounds, an unknown part, a strap named
/// twice, or no strap.
[[nodiscard]] dsp::Result<SyntheticSet> synthesize_set(const SquatSetParams& params,
                                                       const StrapSetup& setup = {},
                                                       const TruthDetail& detail = {});
[[nodiscard]] dsp::Result<SyntheticSet> synthesize_set(const ArmSetParams& params,
                                                       const StrapSetup& setup = arm_straps(),
                                                       const TruthDetail& detail = {});
[[nodiscard]] dsp::Result<SyntheticSet> synthesize_set(const OneLegSetParams& params,
                                                       const StrapSetup& setup = {},
                                                       const TruthDetail& detail = {});
[[nodiscard]] dsp::Result<SyntheticSet> synthesize_set(const SetParams& params,
                                                       const StrapSetup& setup,
                                                       const TruthDetail& detail = {});

/// The set with what else happens in it; the truth's traces are of the reps and do not show it.
[[nodiscard]] dsp::Result<SyntheticSet> synthesize_set(const SetParams& params,
                                                       const StrapSetup& setup,
                                                       const TruthDetail& detail,
                                                       const Disturbances& disturbances);

/// A recording without any rep (still part and alignment, then everyday movement); its set part is
/// all of the latter.
[[nodiscard]] dsp::Result<SyntheticSet> synthesize_idle(const IdleParams& idle,
                                                        const StrapSetup& setup);

/// A strap on the desk (calibrating), as worn at any one placement: same sensor, device and errors
/// as the strap that `setup` draws there in a set.
[[nodiscard]] dsp::Result<SyntheticSet> synthesize_desk(const DeskParams& params,
                                                        const StrapSetup& setup);

/// Only the recording.
[[nodiscard]] dsp::Result<Recording> synthesize(const SquatSetParams& params,
                                                const StrapSetup& setup = {},
                                                const TruthDetail& detail = {});

}  // namespace strapline::recordings::synthetic
