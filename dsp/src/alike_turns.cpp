#include "alike_turns.hpp"

#include <algorithm>
#include <utility>

#include "strapline/dsp/rotation.hpp"

#include "median.hpp"
#include "rep_views.hpp"
#include "rest_to_rest.hpp"
#include "straight_turn.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

// Figures of ours.
constexpr std::size_t kFewest = 2;  // full reps that show what is usual
constexpr double kQuickest = 0.75;  // 1, of the quickest one's length
constexpr double kSlowest = 3.0;    // 1, of the usual length
constexpr double kSameTurn = 0.3;   // 1, of a full rep's turn: off it, at most
constexpr double kSameHome = 0.1;   // 1, of the usual turn: from the usual home, at most

class AlikeTurns {
 public:
  /// At least one of the reps is a full one.
  explicit AlikeTurns(const SetWork& work) : work_(work), full_(full_of(work.excursions)) {
    std::vector<Vector3d> homes;
    std::vector<double> sizes, lengths;
    for (const Excursion& e : full_) {
      lengths.push_back(length_of(e));
      homes.push_back(up_at(e.start.time_s));
      sizes.push_back(turn_of(e).norm());
    }
    home_ = median_of(homes);
    turn_ = median_of(std::move(sizes));
    quickest_s_ = *std::min_element(lengths.begin(), lengths.end());
  }

  [[nodiscard]] bool tell() const {
    return full_.size() >= kFewest && goes_straight(work_.t, work_.range_angle, full_);
  }

  [[nodiscard]] bool is_rep(const Excursion& e) const {
    if (e.range < kAsWide * usual_range(full_) || length_of(e) < kQuickest * quickest_s_ ||
        length_of(e) > kSlowest * usual_length(full_)) {
      return false;
    }
    if ((up_at(e.start.time_s) - home_).norm() > kSameHome * turn_) return false;
    const Vector3d turn = turn_of(e);
    return std::any_of(full_.begin(), full_.end(), [&](const Excursion& rep) {
      const Vector3d usual = turn_of(rep);
      return (turn - usual).norm() <= kSameTurn * usual.norm();
    });
  }

 private:
  [[nodiscard]] const GridMotion& strap() const { return work_.straps[work_.repeating].motion; }

  [[nodiscard]] Vector3d up_at(double time_s) const {
    const Index i = nearest_index(work_.t, time_s);
    return strap().q_world_from_sensor[static_cast<std::size_t>(i)].conjugate() * world_up();
  }

  [[nodiscard]] Vector3d turn_of(const Excursion& e) const {
    return turn_between(strap(), nearest_index(work_.t, e.start.time_s), e.turn_index);
  }

  const SetWork& work_;
  std::vector<Excursion> full_;
  Vector3d home_ = Vector3d::Zero();  ///< up, of the sensor
  double turn_ = 0.0;                 ///< rad
  double quickest_s_ = 0.0;
};

}  // namespace

std::vector<Excursion> with_alike_turns(const SetWork& work, const SegmentationParams& params) {
  std::vector<Excursion> reps = work.excursions;
  if (full_of(reps).empty()) return reps;
  const AlikeTurns alike(work);
  if (!alike.tell()) return reps;
  for (Excursion& e : rest_to_rest(work, RepEnd::start, params)) {
    if (overlaps_any(e, reps) || !alike.is_rep(e)) continue;
    e.part = false;
    reps.push_back(e);
  }
  sort_by_start(reps);
  return reps;
}

}  // namespace strapline::dsp
