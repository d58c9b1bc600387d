#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include "strapline/dsp/motion_features.hpp"

namespace strapline::dsp::testing {

/// A strap's angle about a horizontal axis (rad), its height (the feature's rad) and how far it is
/// tilted aside (rad).
struct Pose {
  double angle, height, aside = 0.0;
};

/// To this pose in so many seconds, and a hold there.
struct Move {
  Pose to;
  double seconds, hold;
};

/// `count` reps from `home` to `turn` and back, 1.5 s each way without holds.
inline std::vector<Move> reps_between(const Pose& home, const Pose& turn, int count) {
  std::vector<Move> moves;
  for (int k = 0; k < count; ++k) {
    moves.push_back({turn, 1.5, 0.0});
    moves.push_back({home, 1.5, 0.0});
  }
  return moves;
}

inline Pose between(const Pose& a, const Pose& b, double share) {
  const auto mix = [&](double from, double to) { return from + share * (to - from); };
  return {mix(a.angle, b.angle), mix(a.height, b.height), mix(a.aside, b.aside)};
}

inline MotionFeatures features_of(Pose pose, const std::vector<Move>& moves) {
  std::vector<Pose> poses;
  const auto hold = [&](double seconds) {
    poses.insert(poses.end(), static_cast<std::size_t>(std::lround(seconds * 10.0)), pose);
  };
  hold(3.0);
  for (const Move& move : moves) {
    const auto n = std::lround(move.seconds * 10.0);
    for (int i = 0; i < n; ++i) {
      const double at = (i + 0.5) / static_cast<double>(n);
      poses.push_back(between(pose, move.to, 0.5 - 0.5 * std::cos(std::numbers::pi * at)));
    }
    pose = move.to;
    hold(move.hold);
  }
  hold(3.0);
  MotionFeatures features;
  features.value.resize(5, static_cast<Eigen::Index>(poses.size()));
  for (Eigen::Index i = 0; i < features.size(); ++i) {
    const Pose& p = poses[static_cast<std::size_t>(i)];
    features.value.col(i) << std::sin(p.angle) * std::cos(p.aside),
        std::cos(p.angle) * std::cos(p.aside), std::sin(p.aside), 0.0, p.height;
  }
  return features;
}

}  // namespace strapline::dsp::testing
