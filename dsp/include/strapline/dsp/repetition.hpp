#pragma once

#include <vector>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/motion_features.hpp"

namespace strapline::dsp {

struct RepetitionParams {
  double shortest_s = 0.8;        ///< s, a rep takes longer
  double longest_s = 11.0;        ///< s, a rep's movement without its holds takes less
  double least_amplitude = 0.05;  ///< rad, rms about a rep's mean (0.14 rad from end to end)
  double least_similarity = 0.7;  ///< 1, correlation: half of the movement is explained
  double half_similarity = 0.84;  ///< 1, of a half at the set's ends: no neighbour vouches for it
  double new_similarity = 0.9;    ///< 1, of a half that did not match with its other half
  double half_closed = 0.55;      ///< 1, of the range: posture at such a half's ends from the usual
  double half_least = 0.3;        ///< 1, of the usual half's amplitude
  double half_most = 1.8;         ///< 1, of the usual half's amplitude: rather something else
  double half_fastest = 0.5;      ///< 1, of the usual half's length
  double half_slowest = 2.0;      ///< 1, of the usual half's length
  double longest_hold = 1.0;      ///< 1, of a rep's length, between two halves at the set's ends
  double least_turn = 0.28;       ///< rad, least range for half_closed: sway and grip
  double smallest_share = 0.2;    ///< 1, of the usual amplitude: smaller is fidgeting
  double fastest = 0.3;           ///< 1, of the usual length
  double slowest = 2.0;           ///< 1, of the usual length
  double own_path_similarity = 0.5;  ///< 1, of another cluster's usual path with the set's
  double own_path_steady = 0.95;     ///< 1, similarity within such a cluster, median
  double stray_similarity = 0.95;    ///< 1, of each half of one or two reps far from the others
  double cluster_share = 0.5;        ///< 1, of the set's size: a cluster's widest half at least
  double apart = 2.0;  ///< 1, of the usual length: a longer gap is a pause between clusters
};

/// A stretch in which the movement went through its usual cycle once.
struct Repetition {
  double from_s = 0.0;
  double to_s = 0.0;
  double similarity = 0.0;  ///< 1, correlation of its path with the set's usual one
  double size = 0.0;        ///< rad, rms of its features about their mean
  double by_half_s = 0.0;   ///< s, its length at the pace of the half that was told; 0: both were
};

struct RepetitionSet {
  std::vector<Repetition> reps;  ///< in time order, not overlapping
  double strength = 0.0;  ///< s·√rad, how long and how wide it repeats: to choose among straps
  double told = 0.0;      ///< rad, how far its reps move, as far as they are alike: to choose among
                          ///< looks at the same strap
};

/// The set in a recording: the movement that repeats longest and widest, whatever it is, found
/// without being told when it begins. A stretch of the recording is tried as template for every
/// other, at any pace; what it explains best becomes the template, and is refined by its own
/// matches. A rep with two peaks counts once, because its halves do not resemble each other.
/// Deterministic. Method in the manner of motif discovery by best matching pairs (Mueen et al.
/// 2009) with a cover found by dynamic programming.
[[nodiscard]] RepetitionSet find_repetitions(const MotionFeatures& features,
                                             const RepetitionParams& params = {});

}  // namespace strapline::dsp
