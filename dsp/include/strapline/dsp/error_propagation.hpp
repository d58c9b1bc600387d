#pragma once

#include <Eigen/Core>

#include "strapline/dsp/motion_state.hpp"

namespace strapline::dsp {

/// Three quantities against the error state, one a row: their covariance with it, or how they
/// change with it.
using ThreeErrors = Eigen::Matrix<double, 3, error_index::kSize>;

/// How the error state moves over one epoch (Φ), kept as the few blocks that differ from the
/// identity: a dense 25 × 25 product would cost four times as much.
///   θ' = θ + A·(δb_gyr, δgain)
///   v' = v − F·(θ + θ')/2 − R·δb_acc − T·up·δg
///   p' = leak·p + T·(v + v')/2
struct EpochTransition {
  double duration = 0.0;                            ///< T, s
  double leak = 1.0;                                ///< 1, how much of the position is remembered
  Eigen::Matrix3d force = Eigen::Matrix3d::Zero();  ///< F: skew of ∫ f dt, world, m/s
  Eigen::Matrix3d frame_time = Eigen::Matrix3d::Zero();  ///< R: ∫ world from sensor dt, s
  Eigen::Matrix<double, 3, 12> turn_by_gyr = Eigen::Matrix<double, 3, 12>::Zero();  ///< A

  /// P ← Φ·P·Φᵀ; P symmetric.
  void propagate(ErrorMatrix& p) const;
  /// λ ← Φᵀ·λ.
  void pull_back(ErrorVector& lambda) const;
  /// Λ ← Φᵀ·Λ·Φ; Λ symmetric.
  void pull_back(ErrorMatrix& lambda) const;
  /// c ← c·Φᵀ: covariances with the state before become those with the state after.
  void carry(ThreeErrors& c) const;
  /// w ← w·Φ: how three quantities change with the state after becomes how with the one before.
  void pull_back(ThreeErrors& w) const;
  /// Φ written out, for checks.
  [[nodiscard]] ErrorMatrix dense() const;
};

/// A direct view of three neighbouring entries of the error state, already taken into the estimate.
struct BlockUpdate {
  int at = 0;                                             ///< first entry seen
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();  ///< S⁻¹, of the innovation
  Eigen::Vector3d innovation = Eigen::Vector3d::Zero();   ///< seen less expected
  Eigen::Matrix<double, error_index::kSize, 3> gain =
      Eigen::Matrix<double, error_index::kSize, 3>::Zero();  ///< K

  /// Takes the view `observed` (variance per entry, white) into the correction and P.
  static BlockUpdate take(int at, const Eigen::Vector3d& observed, double variance,
                          ErrorVector& correction, ErrorMatrix& p);
  /// The step backwards over this view (Bierman 1977, from memory): λ ← Cᵀλ − HᵀS⁻¹y, C = 1 − K·H.
  void pull_back(ErrorVector& lambda) const;
  /// Λ ← Cᵀ·Λ·C + HᵀS⁻¹H.
  void pull_back(ErrorMatrix& lambda) const;
  /// c ← c·Cᵀ: covariances with the error before the view become those with what it leaves.
  void carry(ThreeErrors& c) const;
  /// w ← w·C.
  void pull_back(ThreeErrors& w) const;
};

}  // namespace strapline::dsp
