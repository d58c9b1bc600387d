#pragma once

#include <memory>

#include <Eigen/Core>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/body_motion.hpp"
#include "strapline/recordings/synthetic/leg_measures.hpp"
#include "strapline/recordings/synthetic/squat_params.hpp"

namespace strapline::recordings::synthetic {

struct SetPlan;

/// A set of squats or hinges. Segments: pelvis, lower_back, upper_back and chest (one rigid
/// thorax), thigh, shank, foot, upper_arm, forearm, bar (rigid on the thorax). Copies share the
/// immutable plan.
class SquatMotion final : public BodyMotion {
 public:
  /// The parameters must have passed check_params (synthesize does that itself).
  explicit SquatMotion(const SquatSetParams& params);

  [[nodiscard]] double end_s() const override;
  [[nodiscard]] const dsp::RecordingParts& parts() const override;
  [[nodiscard]] const BodyLengths& body() const override;
  [[nodiscard]] std::uint64_t seed() const override;
  [[nodiscard]] std::vector<Excursion> excursions() const override;
  [[nodiscard]] std::vector<SpareTime> spare_times() const override;
  [[nodiscard]] PosedSegment pose(dsp::Placement placement, double t) const override;
  [[nodiscard]] bool has(dsp::Segment) const override { return true; }
  [[nodiscard]] std::string_view range_name() const override;
  [[nodiscard]] bool lowers_first() const override { return true; }
  [[nodiscard]] double range_angle(double t, dsp::Side side) const override;
  [[nodiscard]] double range_rate(double t, dsp::Side side) const override;
  [[nodiscard]] std::vector<BoneValue> bones(double t) const override;
  [[nodiscard]] std::map<std::string, std::vector<double>> set_up() const override;

  [[nodiscard]] const SetPlan& plan() const { return *plan_; }
  [[nodiscard]] LegCentres leg(dsp::Side side, double t) const;
  [[nodiscard]] BoneMeasures measures(double t) const;

 private:
  std::shared_ptr<const SetPlan> plan_;
  Sides standing_ankles_;  ///< rad, mean of the first still part
};

/// One clear line where a value makes no sense or the movement is beyond the body's geometry (a
/// knee line that the leg cannot reach, a depth that it cannot fold to).
[[nodiscard]] dsp::Result<SquatMotion> make_motion(const SquatSetParams& params);

}  // namespace strapline::recordings::synthetic
