#include "rep_pieces.hpp"

#include <algorithm>
#include <utility>
#include <vector>

namespace strapline::dsp {
namespace {

// Figures of ours.
constexpr double kShared = 0.25;  // 1, of the shorter one's time
constexpr double kPiece = 0.5;    // 1, of the movement of what it is a piece of

/// rad·s, how much the strap moves in the repetition that told of an excursion.
double movement_in(const SetWork& work, const Excursion& e) {
  const Repetition* rep = repetition_at(work, e);
  return rep == nullptr ? 0.0 : rep->size * (rep->to_s - rep->from_s);
}

}  // namespace

void leave_out_pieces(SetWork& work) {
  std::vector<Excursion> whole;
  for (const Excursion& e : work.excursions) {
    if (whole.empty() || whole.back().end.time_s - e.start.time_s <=
                             kShared * std::min(length_of(e), length_of(whole.back()))) {
      whole.push_back(e);
      continue;
    }
    const double before = movement_in(work, whole.back()), here = movement_in(work, e);
    if (before < kPiece * here) whole.pop_back();
    if (here >= kPiece * before) whole.push_back(e);
  }
  work.excursions = std::move(whole);
}

}  // namespace strapline::dsp
