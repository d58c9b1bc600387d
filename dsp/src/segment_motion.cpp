#include "segment_motion.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "strapline/dsp/rotation.hpp"

#include "square.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kLeastStill = 1.0;  // s of rest that may pass for a still part

/// Which way a segment turns about its own Z on the way down from standing (squats and the like).
double away_sign(Segment segment) { return segment == Segment::thigh ? 1.0 : -1.0; }

/// Longest stretch in which every strap rests, before `until_s`.
std::optional<Interval> find_rest(const VectorXd& t, const std::vector<std::vector<char>>& at_rest,
                                  double until_s) {
  std::optional<Interval> best;
  double begin = -1.0;
  for (Index i = 0; i < t.size(); ++i) {
    const bool rest = t[i] < until_s && std::all_of(at_rest.begin(), at_rest.end(), [&](auto& r) {
                        return r[static_cast<std::size_t>(i)] != 0;
                      });
    if (rest && begin < 0.0) begin = t[i];
    if ((!rest || i + 1 == t.size()) && begin >= 0.0) {
      const Interval found{begin, t[i]};
      if (found.length() >= kLeastStill && (!best || found.length() > best->length())) best = found;
      begin = -1.0;
    }
  }
  return best;
}

/// Direction in the horizontal plane of the segment's X, rad about the vertical.
double facing(const Quaterniond& q_world_from_segment) {
  const Vector3d x = q_world_from_segment * Vector3d::UnitX();
  return std::atan2(-x.z(), x.x());
}

struct Anchor {
  double time_s, heading;
};

/// What is usual of a heading counts as much as two stretches of this set.
constexpr double kFloorWeight = 2.0;

std::vector<Anchor> anchors(const PreparedStrap& strap, const VectorXd& t,
                            const std::vector<Interval>& standing) {
  std::vector<Anchor> found;
  for (const Interval& part : standing) {
    double s = 0.0, c = 0.0;
    for (Index i = nearest_index(t, part.from_s); i <= nearest_index(t, part.to_s); ++i) {
      const auto at = static_cast<std::size_t>(i);
      if (strap.motion.known[at] == 0) continue;
      const double heading = facing(strap.q_world_from_segment[at]);
      s += std::sin(heading);
      c += std::cos(heading);
    }
    if (s != 0.0 || c != 0.0) {
      found.push_back({0.5 * (part.from_s + part.to_s), std::atan2(s, c)});
    }
  }
  return found;
}

}  // namespace

ResolvedParts resolve_parts(const RecordingParts& given, const VectorXd& t,
                            const std::vector<std::vector<char>>& at_rest) {
  ResolvedParts parts;
  parts.align = given.align;
  parts.still_after = given.still_after;
  const double end = given.still_after ? given.still_after->from_s : t[t.size() - 1];
  double begin = t[0];
  if (given.still) begin = std::max(begin, given.still->to_s);
  if (given.align) begin = std::max(begin, given.align->to_s);
  parts.set = given.set.value_or(Interval{begin, end});
  parts.still = given.still;
  if (!parts.still) {
    parts.still = find_rest(t, at_rest, given.set ? given.set->from_s : t[t.size() - 1]);
    parts.notes.push_back(
        parts.still
            ? fmt::format("no still part is marked: the rest from {:.1f} to {:.1f} s is taken as "
                          "standing upright",
                          parts.still->from_s, parts.still->to_s)
            : "no still part is marked and no rest was found: angles that count from standing are "
              "not measured");
  }
  if (!parts.align) {
    parts.align = parts.set;
    parts.aligned_by_set = true;
    parts.notes.push_back(
        "no align part is marked: the axes come from the set itself, so the knee line counts from "
        "the set's own plane and is less certain");
  }
  return parts;
}

void align_strap(PreparedStrap& strap, const VectorXd& t, const ResolvedParts& parts) {
  if (strap.placement.segment == Segment::foot) return;  // carry_toe_lines
  if (!parts.still) {
    strap.trouble = "no part in which the client stands still";
    return;
  }
  strap.alignment = align_to_segment(strap.motion, t, *parts.still, *parts.align,
                                     away_sign(strap.placement.segment));
  if (!strap.alignment && !parts.aligned_by_set) {
    // Too small a bend (an upright trunk, say): the set moves it more.
    strap.alignment = align_to_segment(strap.motion, t, *parts.still, parts.set,
                                       away_sign(strap.placement.segment));
  }
  if (!strap.alignment) {
    const bool upright =
        upright_turn(strap.motion, t, *parts.still, *parts.align) > kLeastAlignTurn;
    strap.trouble = fmt::format("the strap on {} turned {}", to_string(strap.placement),
                                upright ? "about a vertical axis, which gravity does not show"
                                        : "too little to show its axes");
    return;
  }
  follow_segment(strap);
}

double heading_variance_since_still(const PreparedStrap& strap, Index i) {
  const double drift = strap.heading_u.size() == 0 ? 0.0 : strap.heading_u[i];
  const Quaterniond& turn = strap.q_world_from_segment[static_cast<std::size_t>(i)];
  return square(drift) + square(strap.gyr_gain_sd * log_rotation(turn).norm());
}

void follow_segment(PreparedStrap& strap) {
  const double start = strap.alignment->start_heading;
  const Quaterniond to_start = turn_about_vertical(-start);
  const std::vector<Quaterniond>& q = strap.motion.q_world_from_sensor;
  strap.q_world_from_segment.resize(q.size());
  for (std::size_t at = 0; at < q.size(); ++at) {
    const Quaterniond to_toe_line =
        strap.stance.size() == 0
            ? to_start
            : turn_about_vertical(-start - strap.stance[static_cast<Index>(at)]);
    strap.q_world_from_segment[at] = to_toe_line * q[at] * strap.alignment->q_sensor_from_segment;
  }
}

void remove_heading_drift(PreparedStrap& strap, const VectorXd& t, double still_s,
                          const std::vector<Interval>& standing, double heading_floor) {
  if (!strap.alignment || strap.placement.segment == Segment::foot) return;  // it is the measure
  const std::vector<Anchor> seen = anchors(strap, t, standing);
  double along = 0.0, squares = 0.0;
  for (const Anchor& a : seen) {
    along += (a.time_s - still_s) * a.heading;
    squares += (a.time_s - still_s) * (a.time_s - still_s);
  }
  const Index n = t.size();
  if (seen.size() < 2 || squares <= 0.0) {
    strap.heading_u =
        VectorXd::Constant(n, std::hypot(heading_floor, strap.motion.heading_u.maxCoeff()));
    return;
  }
  const double slope = along / squares;
  double scatter = 0.0;
  for (const Anchor& a : seen) {
    scatter += square(wrap_angle(a.heading - slope * (a.time_s - still_s)));
  }
  for (Index i = 0; i < n; ++i) {
    Quaterniond& q = strap.motion.q_world_from_sensor[static_cast<std::size_t>(i)];
    q = turn_about_vertical(-slope * (t[i] - still_s)) * q;
  }
  follow_segment(strap);
  // The first stands at zero and the line takes one more.
  const auto free = static_cast<double>(seen.size() - 2);
  const double usual = square(heading_floor);
  const double stands = (kFloorWeight * usual + scatter) / (kFloorWeight + free);
  const double moves = std::max(0.0, stands - usual);
  strap.heading_u = ((t.array() - still_s).square() * (stands / squares) + moves).sqrt();
}

}  // namespace strapline::dsp
