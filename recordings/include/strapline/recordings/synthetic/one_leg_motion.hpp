#pragma once

#include <memory>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/synthetic/body_motion.hpp"
#include "strapline/recordings/synthetic/one_leg_params.hpp"

namespace strapline::recordings::synthetic {

struct OneLegPlan;

/// A set of split squats, lunges or step-downs. Segments as SquatMotion's. Copies share the
/// immutable plan.
class OneLegMotion final : public BodyMotion {
 public:
  /// The parameters must have passed make_motion's check.
  explicit OneLegMotion(const OneLegSetParams& params);

  [[nodiscard]] double end_s() const override;
  [[nodiscard]] const dsp::RecordingParts& parts() const override;
  [[nodiscard]] const BodyLengths& body() const override;
  [[nodiscard]] std::uint64_t seed() const override;
  [[nodiscard]] std::vector<Excursion> excursions() const override;
  [[nodiscard]] std::vector<SpareTime> spare_times() const override;
  [[nodiscard]] PosedSegment pose(dsp::Placement placement, double t) const override;
  [[nodiscard]] bool has(dsp::Segment) const override { return true; }
  [[nodiscard]] std::string_view range_name() const override { return "working_thigh_depth"; }
  [[nodiscard]] bool lowers_first() const override { return true; }
  [[nodiscard]] double range_angle(double t, dsp::Side side) const override;
  [[nodiscard]] double range_rate(double t, dsp::Side side) const override;
  [[nodiscard]] std::vector<BoneValue> bones(double t) const override;
  [[nodiscard]] std::map<std::string, std::vector<double>> set_up() const override;

  [[nodiscard]] const OneLegPlan& plan() const { return *plan_; }

 private:
  std::shared_ptr<const OneLegPlan> plan_;
  Sides standing_ankles_;  ///< rad, mean of the first still part
};

/// One clear line where a value makes no sense or the legs cannot reach.
[[nodiscard]] dsp::Result<OneLegMotion> make_motion(const OneLegSetParams& params);

}  // namespace strapline::recordings::synthetic
