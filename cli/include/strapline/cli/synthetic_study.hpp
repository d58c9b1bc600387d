#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "strapline/cli/live_study.hpp"
#include "strapline/dsp/measure.hpp"
#include "strapline/recordings/synthetic/disturbances.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"

namespace strapline::cli {

/// Which sets the study draws. Everything else is what the simulator draws by default. How a client
/// stands and bends, like soft tissue, is stated of the client as it is drawn.
struct StudyOptions {
  std::string movement = "squat";  ///< one of synthetic::simulated_movements
  int sets = 200;
  std::uint64_t seed = 1;     ///< of the first set; set k has seed + k
  double max_tilt = 0.2618;   ///< rad (15°), straps' tilt
  double max_twist = 0.7854;  ///< rad (45°), straps' twist about the limb
  double soft_tissue = 1.0;   ///< factor on the simulator's soft tissue; 0: rigid
  recordings::synthetic::ClientSpread spread;
  /// rad, soft tissue of thigh and of shank instead of the usual, drawn and stated of the client.
  std::optional<double> thigh_tissue, shank_tissue;
  /// Straps on the feet, too, which squats place anew between the easy bends and the set.
  bool feet = false;
  std::string part = "common_2019";                  ///< sensor part, see synthetic::sensor_part
  recordings::synthetic::Disturbances disturbances;  ///< what happens besides the reps
  bool live = false;                                 ///< play each set through the live count, too
};

/// Error of one measure over all full reps that both truth and analysis have, display units.
struct MeasureError {
  std::string unit;
  int n = 0;          ///< values compared
  int missing = 0;    ///< values that the truth has and the analysis does not
  double bias = 0.0;  ///< mean error
  double rmse = 0.0;
  double mean_abs = 0.0;
  double worst = 0.0;       ///< largest size
  double stated_u = 0.0;    ///< root mean square of the stated standard uncertainties
  double coverage95 = 0.0;  ///< share of truths inside value ± 1.96 u
};

struct StudyResult {
  int sets = 0;
  int sets_with_exact_count = 0;            ///< of full reps
  int reps = 0;                             ///< true full reps
  int part_reps = 0;                        ///< true ones
  int part_found = 0;                       ///< of them, seen as part reps
  int doubtful = 0;                         ///< neither: their strap turns by about half
  int part_false = 0;                       ///< seen as part reps where no part rep is
  int missed = 0, invented = 0;             ///< reps, full or part
  int sided = 0, wrong_side = 0;            ///< matched reps of one leg; given to the wrong one
  std::vector<std::uint64_t> wrong_counts;  ///< seeds
  std::vector<std::string> failures;        ///< sets that could not be analysed, with the line
  /// By base name; both sides pooled; borders too. The hold in the start posture is compared only
  /// where the same rep follows: what is missed or invented there is counted as such.
  std::map<std::string, MeasureError> errors;
  LiveAgreement live;  ///< no set unless asked for
};

/// A recording without any rep and what was counted in it.
struct IdleOutcome {
  std::string expected;  ///< movement that the recording names
  double minutes = 0.0;
  int counted = 0;  ///< full reps
  int part_counted = 0;
  std::optional<LiveAgreement> live;  ///< where asked for; `extra`: told and not taken back
  std::string failure;
};

/// Synthetic walking, stairs, turning, talking with the hands and strap handling, `minutes` in
/// recordings of ten minutes, with a squat and a push-up expected.
[[nodiscard]] std::vector<IdleOutcome> run_idle_study(const StudyOptions& options, double minutes);

/// Draws synthetic sets of one movement, analyses them as any recording and compares with their
/// truth. Runs on as many threads as there are cores; the result does not depend on how many.
[[nodiscard]] StudyResult run_synthetic_study(const StudyOptions& options);

}  // namespace strapline::cli
