#pragma once

#include <array>
#include <cmath>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/motion_features.hpp"
#include "strapline/dsp/repetition.hpp"

namespace strapline::dsp {

inline constexpr int kPathPoints = 16;  // of a rep's path, evenly in time: finer than its lowpass

/// The path of a rep through the features, its mean taken out, of length 1 as one long vector.
using RepPath = Eigen::Matrix<double, 5, kPathPoints>;

/// What the reps of a set look like.
struct RepTemplate {
  RepPath path;
  double length = 0.0;     ///< samples, of the usual rep
  double amplitude = 0.0;  ///< rms of the usual rep's features about their mean
};

/// A stretch that was taken for a rep.
struct Match {
  Eigen::Index first = 0;  ///< index of the features
  int length_index = 0;
  double gain = 0.0;
  double similarity = 0.0;  ///< correlation with the template
};

/// All stretches of a recording, at a ladder of lengths, against a template.
class RepMatcher {
 public:
  RepMatcher(const MotionFeatures& features, const RepetitionParams& params);

  /// The stretches that together are worth most: none overlaps another; a stretch is worth its
  /// duration, less where it is smaller than the template, and only above the least similarity.
  [[nodiscard]] std::vector<Match> best_cover(const RepTemplate& rep) const;

  /// Templates to begin with: stretches that resemble what follows them.
  [[nodiscard]] std::vector<RepTemplate> seeds() const;

  /// From now on no stretch that reaches into [first, last] is a rep.
  void block(Eigen::Index first, Eigen::Index last);

  /// The template that the matches have in common.
  [[nodiscard]] RepTemplate common(const std::vector<Match>& matches, double amplitude) const;

  [[nodiscard]] double length(const Match& m) const {
    return lengths_[static_cast<std::size_t>(m.length_index)];
  }
  [[nodiscard]] Eigen::Index last(const Match& m) const;
  [[nodiscard]] double amplitude(const Match& m) const {
    return amplitudes_[static_cast<std::size_t>(m.length_index)][m.first];
  }

  /// The stretch's path, its mean taken out.
  [[nodiscard]] RepPath path(Eigen::Index first, double length) const;
  /// rad, of its features about their mean.
  [[nodiscard]] double rms(Eigen::Index first, double length) const {
    return path(first, length).norm() / std::sqrt(static_cast<double>(kPathPoints));
  }

 private:
  /// Correlation of the template with the stretch of this length at every start.
  [[nodiscard]] Eigen::VectorXd similarity(const RepPath& rep, std::size_t k) const;
  [[nodiscard]] Eigen::VectorXd gains(const RepTemplate& rep, std::size_t k,
                                      const Eigen::VectorXd& similarity) const;
  void seeds_of_length(std::size_t k, std::vector<RepTemplate>& out) const;

  const MotionFeatures& features_;
  RepetitionParams params_;
  std::vector<double> lengths_;              ///< samples
  std::vector<Eigen::VectorXd> amplitudes_;  ///< per length, at every start
};

}  // namespace strapline::dsp
