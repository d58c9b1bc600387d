#pragma once

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "strapline/recordings/synthetic/body_motion.hpp"

namespace strapline::recordings::synthetic {

/// A strap off the body, laid on the desk in one way after the other: what calibrating is made of.
struct DeskParams {
  std::uint64_t seed = 1;  ///< of the ways it lies
  int poses = 12;          ///< the six sides first, about as square as hands lay them, then tilted
  int turns = 0;      ///< times round about each axis afterwards, back to the same place; 0: no
  double hold = 3.0;  ///< s, still in each way
  double move = 2.0;  ///< s, from one to the next, and per turn about an axis
  double squareness = 0.05;  ///< rad, 1 sigma, of each of the six sides
};

/// The strap in hand. It has no bones, parts or reps.
class DeskMotion final : public BodyMotion {
 public:
  explicit DeskMotion(const DeskParams& params);

  [[nodiscard]] double end_s() const override { return end_; }
  [[nodiscard]] const dsp::RecordingParts& parts() const override { return parts_; }
  [[nodiscard]] const BodyLengths& body() const override { return body_; }
  [[nodiscard]] std::uint64_t seed() const override { return params_.seed; }
  [[nodiscard]] std::vector<Excursion> excursions() const override;
  [[nodiscard]] std::vector<SpareTime> spare_times() const override { return {}; }
  [[nodiscard]] PosedSegment pose(dsp::Placement placement, double t) const override;
  [[nodiscard]] bool has(dsp::Segment) const override { return true; }
  [[nodiscard]] std::string_view range_name() const override { return "none"; }
  [[nodiscard]] bool lowers_first() const override { return true; }
  [[nodiscard]] double range_angle(double, dsp::Side) const override { return 0.0; }
  [[nodiscard]] double range_rate(double, dsp::Side) const override { return 0.0; }
  [[nodiscard]] std::vector<BoneValue> bones(double) const override { return {}; }
  [[nodiscard]] std::map<std::string, std::vector<double>> set_up() const override { return {}; }

 private:
  /// A turn about an axis of the strap.
  struct Turn {
    double start = 0.0, duration = 1.0;  ///< s
    Eigen::Vector3d axis = Eigen::Vector3d::UnitX();
    double angle = 0.0;  ///< rad
  };
  void add_turn(const Eigen::Matrix3d& turn);
  void add_round(const Eigen::Vector3d& axis);

  DeskParams params_;
  dsp::RecordingParts parts_;
  BodyLengths body_;
  std::vector<Turn> turns_;
  double end_ = 0.0;
};

}  // namespace strapline::recordings::synthetic
