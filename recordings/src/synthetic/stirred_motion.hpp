#pragma once

#include <memory>

#include "strapline/recordings/synthetic/body_motion.hpp"
#include "strapline/recordings/synthetic/disturbances.hpp"

#include "segment_frame.hpp"
#include "stir.hpp"

namespace strapline::recordings::synthetic {

/// Another movement with something else going on between its reps: walking, hands, straps that are
/// turned. What the bones measure is the movement's own: reps and stirs do not overlap.
class StirredMotion final : public BodyMotion {
 public:
  StirredMotion(std::shared_ptr<const BodyMotion> movement, std::vector<Stir> stirs,
                const dsp::RecordingParts& parts)
      : movement_(std::move(movement)), stirs_(std::move(stirs)), parts_(parts) {}

  [[nodiscard]] double end_s() const override { return movement_->end_s(); }
  [[nodiscard]] const dsp::RecordingParts& parts() const override { return parts_; }
  [[nodiscard]] const BodyLengths& body() const override { return movement_->body(); }
  [[nodiscard]] std::uint64_t seed() const override { return movement_->seed(); }
  [[nodiscard]] std::vector<Excursion> excursions() const override;
  [[nodiscard]] std::vector<SpareTime> spare_times() const override {
    return movement_->spare_times();
  }
  [[nodiscard]] PosedSegment pose(dsp::Placement placement, double t) const override;
  [[nodiscard]] PosedSegment hips(double t) const override { return movement_->hips(t); }
  [[nodiscard]] bool has(dsp::Segment segment) const override { return movement_->has(segment); }
  [[nodiscard]] std::string_view range_name() const override { return movement_->range_name(); }
  [[nodiscard]] bool lowers_first() const override { return movement_->lowers_first(); }
  [[nodiscard]] double range_angle(double t, dsp::Side side) const override {
    return movement_->range_angle(t, side);
  }
  [[nodiscard]] double range_rate(double t, dsp::Side side) const override {
    return movement_->range_rate(t, side);
  }
  [[nodiscard]] std::vector<BoneValue> bones(double t) const override {
    return movement_->bones(t);
  }
  [[nodiscard]] std::map<std::string, std::vector<double>> set_up() const override {
    return movement_->set_up();
  }

 private:
  std::shared_ptr<const BodyMotion> movement_;
  std::vector<Stir> stirs_;
  dsp::RecordingParts parts_;
};

/// The movement with the disturbances that take place between its reps.
[[nodiscard]] std::shared_ptr<const BodyMotion> stirred(std::shared_ptr<const BodyMotion> movement,
                                                        const Disturbances& disturbances);

/// The movement (without reps) with an everyday mixture in its spare time.
[[nodiscard]] std::shared_ptr<const BodyMotion> idling(std::shared_ptr<const BodyMotion> movement,
                                                       std::uint64_t seed);

}  // namespace strapline::recordings::synthetic
