#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/body.hpp"
#include "strapline/dsp/measure.hpp"
#include "strapline/dsp/placement.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"

namespace strapline::recordings::synthetic {

struct Excursion;
struct PosedSegment;

/// A body segment at one time, in the world (Y up, X forwards, Z to the right). Exact derivatives,
/// not differences.
struct SegmentState {
  Eigen::Vector3d position;      ///< m, of the segment's upper joint (foot: the ankle)
  Eigen::Vector3d velocity;      ///< m/s
  Eigen::Vector3d acceleration;  ///< m/s²
  Eigen::Matrix3d world_from_segment;
  Eigen::Vector3d angular_rate;  ///< rad/s, in world axes
};

/// One of measures.md's quantities read off the bones at one time; not a number where undefined.
struct BoneValue {
  std::string_view base;  ///< name of measures.md, unsided
  dsp::Side side = dsp::Side::middle;
  double value = 0.0;
  dsp::Unit unit = dsp::Unit::radian;
};

/// A stretch between the parts or the reps in which something else may happen.
struct SpareTime {
  enum class Where { before_set, within_set, after_set };
  Where where = Where::before_set;
  dsp::Interval when;
};

/// The movement of a whole recording as a function of time: closed form, three times
/// differentiable. Straps, recordings and truth see nothing else of a movement.
class BodyMotion {
 public:
  virtual ~BodyMotion() = default;

  [[nodiscard]] virtual double end_s() const = 0;
  [[nodiscard]] virtual const dsp::RecordingParts& parts() const = 0;
  [[nodiscard]] virtual const BodyLengths& body() const = 0;
  [[nodiscard]] virtual std::uint64_t seed() const = 0;

  /// Every excursion with its timing, alignment movements among them.
  [[nodiscard]] virtual std::vector<Excursion> excursions() const = 0;
  /// In time order: after the alignment, in pauses of the set, before the second still part.
  [[nodiscard]] virtual std::vector<SpareTime> spare_times() const = 0;
  /// The segment's frame with exact derivatives, and how far skin is pulled there.
  [[nodiscard]] virtual PosedSegment pose(dsp::Placement placement, double t) const = 0;
  /// A frame whose origin is the middle of the hips; its axes do not matter.
  [[nodiscard]] virtual PosedSegment hips(double t) const;
  [[nodiscard]] virtual bool has(dsp::Segment segment) const = 0;

  [[nodiscard]] virtual std::string_view range_name() const = 0;
  [[nodiscard]] virtual bool lowers_first() const = 0;
  /// rad; its excursions are the reps. Its exact rate, rad/s. `side`: of the leg that works, where
  /// the movement is of one at a time; else the mean of both.
  [[nodiscard]] virtual double range_angle(double t, dsp::Side side = dsp::Side::middle) const = 0;
  [[nodiscard]] virtual double range_rate(double t, dsp::Side side = dsp::Side::middle) const = 0;
  [[nodiscard]] virtual std::vector<BoneValue> bones(double t) const = 0;

  /// What else the truth says of the set: JSON pointer to one or several numbers.
  [[nodiscard]] virtual std::map<std::string, std::vector<double>> set_up() const = 0;

  [[nodiscard]] SegmentState segment(dsp::Placement placement, double t) const;

 protected:
  /// Before, pauses between the excursions, after; empty ones left out.
  [[nodiscard]] static std::vector<SpareTime> spare_times_of(
      const std::vector<Excursion>& excursions, dsp::Interval before, dsp::Interval after);

  BodyMotion() = default;
  BodyMotion(const BodyMotion&) = default;
  BodyMotion(BodyMotion&&) = default;
  BodyMotion& operator=(const BodyMotion&) = default;
  BodyMotion& operator=(BodyMotion&&) = default;
};

}  // namespace strapline::recordings::synthetic
