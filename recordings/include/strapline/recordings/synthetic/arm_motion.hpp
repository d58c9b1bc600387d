#pragma once

#include <memory>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/arm_params.hpp"
#include "strapline/recordings/synthetic/body_motion.hpp"

namespace strapline::recordings::synthetic {

struct ArmPlan;

/// A set of presses, pulls or rows. Segments: pelvis and lower_back (one), upper_back and chest
/// (one rigid thorax), thigh, shank (in line with the thigh), upper_arm, forearm. Copies share the
/// immutable plan.
class ArmMotion final : public BodyMotion {
 public:
  /// The parameters must have passed make_motion's check.
  explicit ArmMotion(const ArmSetParams& params);

  [[nodiscard]] double end_s() const override;
  [[nodiscard]] const dsp::RecordingParts& parts() const override;
  [[nodiscard]] const BodyLengths& body() const override;
  [[nodiscard]] std::uint64_t seed() const override;
  [[nodiscard]] std::vector<Excursion> excursions() const override;
  [[nodiscard]] std::vector<SpareTime> spare_times() const override;
  [[nodiscard]] PosedSegment pose(dsp::Placement placement, double t) const override;
  [[nodiscard]] PosedSegment hips(double t) const override;
  [[nodiscard]] bool has(dsp::Segment segment) const override;
  [[nodiscard]] std::string_view range_name() const override;
  [[nodiscard]] bool lowers_first() const override;
  [[nodiscard]] double range_angle(double t, dsp::Side side) const override;
  [[nodiscard]] double range_rate(double t, dsp::Side side) const override;
  [[nodiscard]] std::vector<BoneValue> bones(double t) const override;
  [[nodiscard]] std::map<std::string, std::vector<double>> set_up() const override;

  [[nodiscard]] const ArmPlan& plan() const { return *plan_; }

 private:
  std::shared_ptr<const ArmPlan> plan_;
};

/// One clear line where a value makes no sense or the arms cannot reach.
[[nodiscard]] dsp::Result<ArmMotion> make_motion(const ArmSetParams& params);

}  // namespace strapline::recordings::synthetic
