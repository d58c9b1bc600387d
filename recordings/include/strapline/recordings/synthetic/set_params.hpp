#pragma once

#include <numbers>
#include <optional>

namespace strapline::recordings::synthetic {

/// Degrees and centimetres as people say them, to SI.
constexpr double deg(double degrees) { return degrees * std::numbers::pi / 180.0; }
constexpr double cm(double centimetres) { return centimetres * 0.01; }

/// The same quantity on both sides of the body.
struct Sides {
  double left = 0.0;
  double right = 0.0;
};

/// Body dimensions, m. Unset lengths follow from the height: Drillis & Contini 1964, in Winter,
/// "Biomechanics and Motor Control of Human Movement" (thigh 0.245, shank 0.246, foot 0.152, ankle
/// height 0.039, hip to shoulder 0.288, upper arm 0.186, forearm 0.146 of the height; the last
/// three and the ankle from memory). The distance of the hip joint centres, 0.10 of the height,
/// is a round figure of ours: the source gives the breadth over the soft tissue.
struct BodyBuild {
  double height = 1.75;
  std::optional<double> thigh;        ///< hip centre to knee centre
  std::optional<double> shank;        ///< knee centre to ankle centre
  std::optional<double> foot;         ///< heel to toe tip
  std::optional<double> hip_spacing;  ///< between the hip joint centres
  double ankle_from_heel = 0.25;      ///< ankle centre ahead of the heel, share of the foot length
  /// Whether the recording states thigh, shank and foot as measured with a tape, or the height
  /// only.
  bool lengths_known = true;
  double tape_sd = 0.005;  ///< m, error of each stated length, 1 sigma
};

/// Durations of the four phases, s, as measures.md counts them (5 % of the phase's peak rate).
/// Squats reach them within about 0.1 s, the top hold within 0.2 s (in a wide stance the thigh
/// tilts sideways when standing, and its elevation changes late); a hold below about 0.1 s is a
/// bounce.
struct Tempo {
  double lowering = 2.0;
  double bottom_hold = 0.3;
  double lifting = 1.2;
  double top_hold = 1.0;
};

/// How badly clients stand and do the alignment, as factors on what is usually drawn: 0: plumb
/// and as told.
struct ClientSpread {
  double standing = 1.0;  ///< lean of each segment from plumb in the still part
  double bends = 1.0;     ///< knees off the toe line in easy bends; raise and bow off their planes
};

/// From, to: uniform.
struct Range {
  double from = 0.0;
  double to = 0.0;
};

/// The body's lengths with everything unset filled in, m.
struct BodyLengths {
  double height, thigh, shank, foot, hip_spacing;
  double ankle_height, ankle_from_heel, trunk, upper_arm, forearm;
};
[[nodiscard]] BodyLengths lengths_of(const BodyBuild& body);

}  // namespace strapline::recordings::synthetic
