#include "strap_motion.hpp"

#include <cmath>

#include <Eigen/Geometry>

#include "excursion.hpp"
#include "segment_frame.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Segment;

/// Nominal site: how far down the segment from its upper joint, m; distance from its long axis,
/// m; direction of the skin's outward normal, rad from forwards towards the right.
struct Site {
  double down, out, towards;
};

Site nominal_site(const BodyLengths& body, dsp::Placement placement) {
  const double side = placement.side == dsp::Side::left ? -1.0 : 1.0;
  switch (placement.segment) {
    case Segment::thigh:  // middle of the front outer thigh: sources.md, strap sites
      return {0.5 * body.thigh, 0.08, side * deg(35.0)};
    case Segment::shank:
      return {0.4 * body.shank, 0.05, -side * deg(20.0)};
    case Segment::foot:
      return {-0.03, 0.10, 0.0};
    case Segment::pelvis:
      return {-0.04, 0.11, deg(180.0)};
    case Segment::lower_back:
      return {-0.08, 0.10, deg(180.0)};
    case Segment::upper_back:
      return {-0.18, 0.11, deg(180.0)};
    case Segment::upper_arm:
      return {0.5 * body.upper_arm, 0.05, side * deg(70.0)};
    case Segment::forearm:
      return {0.8 * body.forearm, 0.03, side * deg(60.0)};
    case Segment::bar:
      return {0.0, 0.02, deg(180.0)};
    case Segment::chest:
    case Segment::other:
      break;
  }
  return {-0.15, 0.12, 0.0};
}

double wobble_of(const SoftTissue& tissue, Segment segment) {
  switch (segment) {
    case Segment::thigh:
      return tissue.thigh;
    case Segment::shank:
      return tissue.shank;
    case Segment::pelvis:
    case Segment::lower_back:
    case Segment::upper_back:
    case Segment::chest:
      return tissue.trunk;
    case Segment::upper_arm:
      return tissue.upper_arm;
    case Segment::forearm:
      return tissue.forearm;
    case Segment::foot:
      return tissue.foot;
    case Segment::bar:
    case Segment::other:
      break;
  }
  return 0.0;
}

/// A damped swing after a stop at `from`: grows in 60 ms, gone after a second.
template <class S>
S swing(const StrapMount& mount, double from, const S& t) {
  using std::exp;
  using std::sin;
  const double since = value_of(t) - from;
  if (since <= 0.0 || since >= 1.0) return S(0.0);
  const S x = t - S(from);
  const S window = smoothstep<S>(x / S(0.06)) * (S(1.0) - smoothstep<S>((x - S(0.6)) / S(0.4)));
  return window * exp(S(-mount.ringing_decay) * x) * sin(S(mount.ringing_rate) * x);
}

/// Sum of the swings after the stops at the bottom and the top of each excursion; a phase of one
/// second swings fully, a slower one less.
template <class S>
S ringing_at(const BodyMotion& motion, const StrapMount& mount, const S& t) {
  S sum(0.0);
  if (mount.ringing == 0.0 && mount.ringing_shift == 0.0) return sum;
  for (const Excursion& e : motion.excursions()) {
    if (value_of(t) < e.start || value_of(t) > e.end() + 1.0) continue;
    sum += S(e.travel / (deg(90.0) * e.lowering)) * swing(mount, e.bottom, t);
    sum +=
        S(e.travel / (deg(90.0) * e.lifting)) * swing(mount, e.end() - kOnsetShare * e.lifting, t);
  }
  return sum;
}

SegmentFrame<Jet> strap_frame(const BodyMotion& motion, const StrapMount& mount, double time) {
  const PosedSegment posed = motion.pose(mount.placement, time);
  const SegmentFrame<Jet>& frame = posed.frame;
  const Matrix3<Jet> round = turn_about<Jet>(Eigen::Vector3d::UnitY(), posed.slip);
  const Matrix3<Jet> fixed = round * mount.segment_from_sensor.cast<Jet>();
  Vector3<Jet> at = round * mount.lever.cast<Jet>();
  if (mount.wobble == 0.0 && mount.ringing == 0.0 && mount.shift.isZero() &&
      mount.ringing_shift == 0.0) {
    return {frame.origin + frame.world_from_segment * at, frame.world_from_segment * fixed};
  }
  const Jet ringing = ringing_at(motion, mount, Jet::time(time));
  for (int i = 0; i < 3; ++i) {
    at[i] += Jet(mount.shift[i]) * posed.pull +
             Jet(mount.ringing_direction[i] * mount.ringing_shift) * ringing;
  }
  const Matrix3<Jet> skin = turn_about<Jet>(mount.wobble_axis, Jet(mount.wobble) * posed.pull) *
                            turn_about<Jet>(mount.ringing_axis, Jet(mount.ringing) * ringing);
  return {frame.origin + frame.world_from_segment * at,
          frame.world_from_segment * Matrix3<Jet>(skin * fixed)};
}

void draw_skin(const StrapSetup& setup, Random& random, StrapMount& mount) {
  const SoftTissue& tissue = setup.soft_tissue;
  const double wobble = wobble_of(tissue, mount.placement.segment);
  mount.wobble_axis = random.direction();
  mount.wobble = wobble * random.normal();
  mount.shift = random.direction() * tissue.shift * random.normal();
  mount.ringing_axis = random.direction();
  mount.ringing_direction = random.direction();
  mount.ringing = tissue.ringing;
  mount.ringing_shift = tissue.ringing_shift;
  mount.ringing_rate = 2.0 * std::numbers::pi * tissue.ringing_hz;
  mount.ringing_decay = tissue.ringing_damping * mount.ringing_rate;
  if (mount.placement.segment == Segment::foot) mount.ringing = mount.ringing_shift = 0.0;
  if (wobble > 0.0) return;
  // Nothing soft to speak of: bar.
  mount.wobble = mount.ringing = mount.ringing_shift = 0.0;
  mount.shift.setZero();
}

Eigen::Matrix3d random_turn(Random& random) {
  const Eigen::Quaterniond q(random.normal(), random.normal(), random.normal(), random.normal());
  return q.normalized().toRotationMatrix();
}

}  // namespace

StrapMount draw_mount(const BodyMotion& motion, dsp::Placement placement, const StrapSetup& setup,
                      Random& random) {
  StrapMount mount;
  mount.placement = placement;
  mount.tilt = random.uniform(0.0, setup.max_tilt);
  mount.twist = random.uniform(-setup.max_twist, setup.max_twist);
  const double tilt_direction = random.uniform(0.0, 2.0 * std::numbers::pi);
  const Site site = nominal_site(motion.body(), placement);
  const double towards = site.towards + mount.twist;
  const Eigen::Vector3d outwards(std::cos(towards), 0.0, std::sin(towards));
  mount.lever = Eigen::Vector3d(0.0, -site.down, 0.0) + site.out * outwards;
  // Sensor X along the limb, upwards; Z out of the skin.
  Eigen::Matrix3d nominal;
  nominal << Eigen::Vector3d::UnitY(), outwards.cross(Eigen::Vector3d::UnitY()), outwards;
  const Eigen::Vector3d tilt_axis(std::cos(tilt_direction), 0.0, std::sin(tilt_direction));
  mount.segment_from_sensor = turn_about<double>(tilt_axis, mount.tilt) * nominal;
  draw_skin(setup, random, mount);
  const Eigen::Matrix3d turn = random_turn(random);
  if (setup.any_orientation) mount.segment_from_sensor *= turn;
  return mount;
}

StrapState strap_state(const BodyMotion& motion, const StrapMount& mount, double t) {
  const SegmentFrame<Jet> frame = strap_frame(motion, mount, t);
  StrapState state;
  state.position = value_of(frame.origin);
  state.velocity = rate_of(frame.origin);
  state.world_from_sensor = value_of(frame.world_from_segment);
  const Eigen::Matrix3d sensor_from_world = state.world_from_sensor.transpose();
  state.angular_rate = sensor_from_world * angular_rate_world(frame.world_from_segment);
  state.specific_force =
      sensor_from_world * (second_of(frame.origin) + kGravity * Eigen::Vector3d::UnitY());
  return state;
}

}  // namespace strapline::recordings::synthetic
