#include "../../dsp/src/rep_pieces.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace strapline::dsp {
namespace {

/// An excursion from `from_s` to `to_s`, and how much the strap moves in its repetition, rad.
struct Piece {
  double from_s, to_s, size;
};

std::vector<double> begins_left(const std::vector<Piece>& pieces) {
  const SetInput input;
  SetWork work = work_on(input, Eigen::VectorXd::LinSpaced(3001, 0.0, 30.0));
  for (const Piece& p : pieces) {
    Excursion e;
    e.start.time_s = p.from_s;
    e.end.time_s = p.to_s;
    // Their repetitions do not overlap: each turns at its end.
    e.turn_index = nearest_index(work.t, p.to_s - 0.1);
    work.excursions.push_back(e);
    work.repetitions.push_back({p.to_s - 0.2, p.to_s, 0.98, p.size});
  }
  leave_out_pieces(work);
  std::vector<double> begins;
  for (const Excursion& e : work.excursions) begins.push_back(e.start.time_s);
  return begins;
}

using Begins = std::vector<double>;

TEST(RepPieces, WhatMovesFarLessInTheTimeOfAnotherIsAPieceOfIt) {
  EXPECT_EQ(begins_left({{5.0, 9.0, 0.3}, {8.0, 10.0, 0.1}, {12.0, 16.0, 0.3}}),
            (Begins{5.0, 12.0}));
  EXPECT_EQ(begins_left({{5.0, 9.0, 0.1}, {6.0, 10.0, 0.3}, {12.0, 16.0, 0.3}}),
            (Begins{6.0, 12.0}));
}

TEST(RepPieces, WhatMovesAsMuchIsAnother) {
  // Cut where the reps turn, an excursion holds the way back of one and the way out of the next.
  EXPECT_EQ(begins_left({{5.0, 9.0, 0.3}, {7.5, 11.5, 0.25}}), (Begins{5.0, 7.5}));
}

TEST(RepPieces, BordersThatTouchOrCrossALittleLeaveTwo) {
  EXPECT_EQ(begins_left({{5.0, 9.0, 0.3}, {8.6, 10.6, 0.1}}), (Begins{5.0, 8.6}));
  EXPECT_EQ(begins_left({{5.0, 9.0, 0.3}, {9.0, 10.6, 0.1}}), (Begins{5.0, 9.0}));
}

TEST(RepPieces, NoneLeavesNone) { EXPECT_TRUE(begins_left({}).empty()); }

}  // namespace
}  // namespace strapline::dsp
