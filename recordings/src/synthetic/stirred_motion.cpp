#include "stirred_motion.hpp"

#include "excursion.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Placement;
using dsp::Segment;
using dsp::Side;

/// Turn about world Z: what swings ahead turns positively.
Matrix3<Jet> ahead(const Jet& angle) { return upright_frame<Jet>(Jet(0.0), Jet(0.0), -angle); }

/// Turn of a joint about the Z of the segment above it.
Matrix3<Jet> hinged(const Matrix3<Jet>& world_from_upper, const Jet& angle) {
  return world_from_upper * ahead(angle) * world_from_upper.transpose();
}

/// The body without its stirs, as far as the stirs need it. Posing it is what costs time.
class Body {
 public:
  Body(const BodyMotion& movement, Placement placement, const SegmentFrame<Jet>& plain, double t)
      : movement_(movement),
        placement_(placement),
        plain_(plain),
        hips_(movement.hips(t).frame.origin),
        t_(t) {}

  [[nodiscard]] SegmentFrame<Jet> frame(Segment segment, Side side) const {
    const Placement wanted{segment, side};
    return wanted == placement_ ? plain_ : movement_.pose(wanted, t_).frame;
  }
  [[nodiscard]] const Vector3<Jet>& hips() const { return hips_; }

 private:
  const BodyMotion& movement_;
  Placement placement_;
  const SegmentFrame<Jet>& plain_;
  Vector3<Jet> hips_;
  double t_;
};

bool is_zero(const Jet& x) { return x.v == 0.0 && x.d == 0.0 && x.dd == 0.0; }

/// Nothing bends: at most the whole body stands elsewhere than without the stirs.
bool is_stiff(const StirPose& stir) {
  const auto both = [](const SidePair<Jet>& pair) {
    return is_zero(pair.left) && is_zero(pair.right);
  };
  return both(stir.thigh) && both(stir.knee) && both(stir.arm) && both(stir.elbow) &&
         is_zero(stir.bow);
}

bool stands_in_place(const StirPose& stir) {
  return is_zero(stir.yaw) && is_zero(stir.shift.x()) && is_zero(stir.shift.y()) &&
         is_zero(stir.shift.z());
}

/// Thigh about the hip, shank and foot about the knee as well.
SegmentFrame<Jet> stirred_leg(const Body& body, Placement placement, const StirPose& stir,
                              const SegmentFrame<Jet>& plain) {
  const bool right = placement.side == Side::right;
  const Matrix3<Jet> swing = ahead(right ? stir.thigh.right : stir.thigh.left);
  const SegmentFrame<Jet> thigh = body.frame(Segment::thigh, placement.side);
  if (placement.segment == Segment::thigh) return {plain.origin, swing * plain.world_from_segment};
  const Matrix3<Jet> turn =
      swing * hinged(thigh.world_from_segment, -(right ? stir.knee.right : stir.knee.left));
  const Vector3<Jet> knee = body.frame(Segment::shank, placement.side).origin;
  const Vector3<Jet> moved = thigh.origin + swing * (knee - thigh.origin);
  return {moved + turn * (plain.origin - knee), turn * plain.world_from_segment};
}

/// The shoulder goes with the trunk; the arm keeps hanging, and swings and bends.
SegmentFrame<Jet> stirred_arm(const Body& body, Placement placement, const StirPose& stir,
                              const SegmentFrame<Jet>& plain) {
  const bool right = placement.side == Side::right;
  const Vector3<Jet>& hips = body.hips();
  const SegmentFrame<Jet> upper = body.frame(Segment::upper_arm, placement.side);
  const Vector3<Jet> shoulder = hips + ahead(-stir.bow) * (upper.origin - hips);
  const Matrix3<Jet> swing = ahead(right ? stir.arm.right : stir.arm.left);
  if (placement.segment == Segment::upper_arm) return {shoulder, swing * plain.world_from_segment};
  const Matrix3<Jet> bend =
      hinged(upper.world_from_segment, right ? stir.elbow.right : stir.elbow.left);
  return {shoulder + swing * (plain.origin - upper.origin),
          swing * bend * plain.world_from_segment};
}

SegmentFrame<Jet> stirred_trunk(const Body& body, const StirPose& stir,
                                const SegmentFrame<Jet>& plain) {
  const Vector3<Jet>& hips = body.hips();
  const Matrix3<Jet> lean = ahead(-stir.bow);
  return {hips + lean * (plain.origin - hips), lean * plain.world_from_segment};
}

SegmentFrame<Jet> stirred_frame(const Body& body, Placement placement, const StirPose& stir,
                                const SegmentFrame<Jet>& plain) {
  switch (placement.segment) {
    case Segment::thigh:
    case Segment::shank:
    case Segment::foot:
      return stirred_leg(body, placement, stir, plain);
    case Segment::upper_arm:
    case Segment::forearm:
      return stirred_arm(body, placement, stir, plain);
    default:
      return stirred_trunk(body, stir, plain);
  }
}

}  // namespace

std::vector<Excursion> StirredMotion::excursions() const { return movement_->excursions(); }

PosedSegment StirredMotion::pose(Placement placement, double t) const {
  PosedSegment posed = movement_->pose(placement, t);
  posed.slip += slip_at(stirs_, placement, t);
  const StirPose stir = stir_at(stirs_, t);
  const bool stiff = is_stiff(stir);
  if (stiff && stands_in_place(stir)) return posed;
  const Body body(*movement_, placement, posed.frame, t);
  const SegmentFrame<Jet> moved =
      stiff ? posed.frame : stirred_frame(body, placement, stir, posed.frame);
  // Then the whole body, about its hips.
  const Vector3<Jet>& hips = body.hips();
  const Matrix3<Jet> round = upright_frame<Jet>(stir.yaw, Jet(0.0), Jet(0.0));
  posed.frame = {hips + stir.shift + round * (moved.origin - hips),
                 round * moved.world_from_segment};
  return posed;
}

}  // namespace strapline::recordings::synthetic
