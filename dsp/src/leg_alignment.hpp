#pragma once

#include <optional>
#include <string>

#include "strapline/dsp/error_budget.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

// Feet turn out by about this much when squatting (common practice: 10–20°; how it scatters is a
// figure of ours: evenly from 5 to 25°).
inline constexpr double kUsualToeOut = 0.262;  // rad (15°)
inline constexpr double kToeOutSd = 0.105;     // rad (6°), from client to client

/// Refines thigh and shank of one leg, both aligned already, by what they share: the knee's hinge
/// gives both their Z and their headings against each other (so that Y, up while standing, is known
/// across the leg too: legs stand at a slant when the feet are wider than the hips), and the path
/// of the knee above the ankle in the align bends gives the toe line, which becomes both segments'
/// start heading. Leaves them as they are where the hinge cannot be told, and returns what a reader
/// must know of it.
/// `movement`: grid indices of the movements that show the hinge.
[[nodiscard]] std::optional<std::string> align_leg(PreparedStrap& thigh, PreparedStrap& shank,
                                                   const Eigen::VectorXd& t,
                                                   const ResolvedParts& parts,
                                                   const std::vector<Eigen::Index>& movement,
                                                   const ErrorBudget& budget);

}  // namespace strapline::dsp
