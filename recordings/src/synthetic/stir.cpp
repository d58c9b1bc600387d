#include "stir.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "strapline/recordings/synthetic/set_params.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr double kTwoPi = 2.0 * std::numbers::pi;

/// 0 outside, 1 within, with half a second (or less) to get there.
Jet envelope(const Stir& s, const Jet& t) {
  const double ramp = std::min(0.5, 0.4 * s.duration);
  return smoothstep<Jet>((t - Jet(s.start)) / Jet(ramp)) -
         smoothstep<Jet>((t - Jet(s.end() - ramp)) / Jet(ramp));
}

Jet cube(const Jet& x) { return x * x * x; }

/// Swing of both legs in turn; the knee bends while the thigh swings ahead; arms the other way.
void add_walk(const Stir& s, const Jet& t, StirPose& out) {
  const Jet done = smoothstep<Jet>((t - Jet(s.start)) / Jet(s.duration));
  out.shift.x() += Jet(s.ahead) * done;
  out.shift.y() += Jet(s.up) * done;
  out.yaw += Jet(s.yaw) * done;
  if (t.v <= s.start || t.v >= s.end()) return;
  const Jet on = envelope(s, t);
  const Jet phase = (t - Jet(s.start)) * Jet(kTwoPi / s.stride_s);
  const auto add = [&](double shift, Jet& thigh, Jet& knee, Jet& arm) {
    const Jet p = phase + Jet(shift);
    thigh += on * (Jet(s.thigh_offset) + Jet(s.thigh) * sin(p));
    // Most flexed a third of a turn before the thigh is furthest ahead.
    knee += on * Jet(s.knee) * cube(Jet(0.5) + Jet(0.5) * sin(p + Jet(0.9)));
    arm -= on * Jet(0.6 * s.thigh) * sin(p);
  };
  add(0.0, out.thigh.left, out.knee.left, out.arm.left);
  add(std::numbers::pi, out.thigh.right, out.knee.right, out.arm.right);
  out.shift.y() += on * Jet(0.05 * s.thigh) * cos(phase * Jet(2.0));
}

void add_arms(const Stir& s, const Jet& t, StirPose& out) {
  const auto add = [&](bool moves, double shift, Jet& arm, Jet& elbow) {
    if (!moves) return;
    if (s.wave_hz == 0.0) {
      const Jet b = bump<Jet>((t - Jet(s.start)) / Jet(s.duration));
      arm += Jet(s.arm) * b;
      elbow += Jet(s.elbow) * b;
      return;
    }
    const Jet on = envelope(s, t);
    const Jet wave = sin((t - Jet(s.start)) * Jet(kTwoPi * s.wave_hz) + Jet(shift));
    arm += on * Jet(s.arm) * wave;
    elbow += on * Jet(s.elbow) * (Jet(1.0) + Jet(0.6) * wave);
  };
  add(s.left, 0.0, out.arm.left, out.elbow.left);
  add(s.right, 1.3, out.arm.right, out.elbow.right);
}

void add_stir(const Stir& s, const Jet& t, StirPose& out) {
  if (s.kind == Stir::Kind::walk) return add_walk(s, t, out);
  if (t.v <= s.start || t.v >= s.end()) return;
  const Jet b = Jet(s.size) * bump<Jet>((t - Jet(s.start)) / Jet(s.duration));
  switch (s.kind) {
    case Stir::Kind::dip:  // thigh and shank tilt by as much: the feet stay below the hips
      out.thigh.left += b;
      out.thigh.right += b;
      out.knee.left += Jet(2.0) * b;
      out.knee.right += Jet(2.0) * b;
      out.shift.y() -= Jet(0.45) * b * b;  // m: legs of 0.9 m, 1 − cos
      out.bow += Jet(0.5) * b;
      break;
    case Stir::Kind::weight_shift:
      (s.left ? out.thigh.left : out.thigh.right) += b;
      (s.left ? out.knee.left : out.knee.right) += Jet(1.8) * b;
      out.shift.z() += Jet(s.left ? 0.25 : -0.25) * b;
      break;
    case Stir::Kind::bow:
      out.bow += b;
      break;
    case Stir::Kind::arms:
      add_arms(s, t, out);
      break;
    case Stir::Kind::walk:
    case Stir::Kind::slip:
      break;
  }
}

Stir timed(Stir::Kind kind, double start, double duration) {
  Stir s;
  s.kind = kind;
  s.start = start;
  s.duration = duration;
  return s;
}

}  // namespace

StirPose stir_at(const std::vector<Stir>& stirs, double t) {
  StirPose pose;
  for (const Stir& s : stirs) {
    if (t > s.start) add_stir(s, Jet::time(t), pose);
  }
  return pose;
}

Jet slip_at(const std::vector<Stir>& stirs, dsp::Placement placement, double t) {
  Jet slip;
  for (const Stir& s : stirs) {
    if (s.kind != Stir::Kind::slip || s.strap != placement) continue;
    slip += Jet(s.size) * bump<Jet>((Jet::time(t) - Jet(s.start)) / Jet(s.duration));
  }
  return slip;
}

// Sizes and paces of common walking, stairs and gestures: figures of ours, from memory.

Stir short_steps(Random& random, double start, double ahead, double yaw) {
  Stir s = timed(Stir::Kind::walk, start, random.uniform(2.5, 4.0));
  s.stride_s = random.uniform(1.1, 1.6);
  s.thigh = random.uniform(deg(6.0), deg(14.0));
  s.thigh_offset = 0.4 * s.thigh;
  s.knee = random.uniform(deg(15.0), deg(35.0));
  s.ahead = ahead;
  s.yaw = yaw;
  return s;
}

Stir walking(Random& random, double start, double duration) {
  Stir s = timed(Stir::Kind::walk, start, duration);
  s.stride_s = random.uniform(0.95, 1.35);
  s.thigh = random.uniform(deg(16.0), deg(27.0));
  s.thigh_offset = 0.3 * s.thigh;
  s.knee = random.uniform(deg(45.0), deg(65.0));
  s.ahead = random.uniform(0.9, 1.6) * duration;
  s.yaw = random.uniform(deg(-60.0), deg(60.0));
  return s;
}

Stir stairs(Random& random, double start, double duration, bool up) {
  Stir s = timed(Stir::Kind::walk, start, duration);
  s.stride_s = random.uniform(1.1, 1.6);
  s.thigh = random.uniform(deg(18.0), deg(30.0));
  s.thigh_offset = s.thigh;
  s.knee = random.uniform(deg(60.0), deg(90.0));
  s.ahead = 0.5 * duration / s.stride_s;
  s.up = (up ? 0.34 : -0.34) * duration / s.stride_s;
  return s;
}

Stir turning(Random& random, double start) {
  Stir s = short_steps(random, start, 0.0, 0.0);
  s.yaw = (random.uniform() < 0.5 ? 1.0 : -1.0) * random.uniform(deg(60.0), deg(190.0));
  return s;
}

Stir dip(Random& random, double start) {
  Stir s = timed(Stir::Kind::dip, start, random.uniform(1.2, 2.0));
  s.size = random.uniform(deg(5.0), deg(12.0));
  return s;
}

Stir weight_shift(Random& random, double start) {
  Stir s = timed(Stir::Kind::weight_shift, start, random.uniform(1.2, 3.0));
  s.left = random.uniform() < 0.5;
  s.size = random.uniform(deg(4.0), deg(12.0));
  return s;
}

Stir bow(Random& random, double start) {
  Stir s = timed(Stir::Kind::bow, start, random.uniform(1.5, 3.5));
  s.size = random.uniform(deg(5.0), deg(18.0));
  return s;
}

Stir hand_moves(Random& random, double start, bool right) {
  Stir s = timed(Stir::Kind::arms, start, random.uniform(0.8, 1.4));
  s.left = !right;
  s.right = right;
  s.arm = random.uniform(deg(-15.0), deg(20.0));
  s.elbow = random.uniform(deg(12.0), deg(35.0));
  return s;
}

Stir talking(Random& random, double start, double duration) {
  Stir s = timed(Stir::Kind::arms, start, duration);
  s.left = random.uniform() < 0.8;
  s.right = !s.left || random.uniform() < 0.8;
  s.arm = random.uniform(deg(5.0), deg(25.0));
  s.elbow = random.uniform(deg(20.0), deg(60.0));
  s.wave_hz = random.uniform(0.5, 1.6);
  return s;
}

Stir slip(Random& random, double start, dsp::Placement strap) {
  Stir s = timed(Stir::Kind::slip, start, random.uniform(0.8, 2.0));
  s.size = (random.uniform() < 0.5 ? 1.0 : -1.0) * random.uniform(deg(10.0), deg(40.0));
  s.strap = strap;
  return s;
}

}  // namespace strapline::recordings::synthetic
