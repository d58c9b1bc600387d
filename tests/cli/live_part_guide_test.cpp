#include <sstream>

#include <gtest/gtest.h>

#include "live/live_view.hpp"
#include "live/part_guide.hpp"
#include "live/session_recording.hpp"

namespace strapline::cli {
namespace {

coaching::Movement movement(const std::string& name) { return *coaching::load_movement(name); }

std::vector<std::string> marks_by_hand(const std::string& name) {
  PartGuide guide = PartGuide::by_hand(movement(name));
  std::vector<std::string> marks = {guide.now().mark};
  while (guide.step()) marks.push_back(guide.now().mark);
  EXPECT_FALSE(guide.step());
  return marks;
}

TEST(PartGuide, GoesFromPartToPartByHand) {
  const std::vector<std::string> squat = {"", kStillMark, kAlignMark, kSetMark, kStillAfterMark};
  EXPECT_EQ(marks_by_hand("squat"), squat);
  const std::vector<std::string> free = {"", kStillMark, kSetMark, kStillAfterMark};
  EXPECT_EQ(marks_by_hand("free"), free) << "nothing to align";
}

TEST(PartGuide, TellsWhatTheMovementAsksFor) {
  PartGuide guide = PartGuide::by_hand(movement("squat"));
  guide.step();
  EXPECT_EQ(guide.now().instruction, movement("squat").start_posture);
  guide.step();
  EXPECT_EQ(guide.now().instruction, movement("squat").alignment);
}

TEST(PartGuide, FollowsTheTimesGiven) {
  dsp::RecordingParts parts;
  parts.still = dsp::Interval{1.0, 4.0};
  parts.set = dsp::Interval{6.0, 20.0};
  PartGuide guide = PartGuide::by_time(movement("squat"), parts);
  const auto at = [&](double t) {
    guide.follow(t);
    return guide.now().mark;
  };
  EXPECT_EQ(at(0.5), "");
  EXPECT_EQ(at(1.0), kStillMark);
  EXPECT_FALSE(guide.follow(2.0)) << "still the same part";
  EXPECT_EQ(at(5.0), "");
  EXPECT_TRUE(guide.follow(6.0));
  EXPECT_EQ(guide.now().mark, kSetMark);
  EXPECT_EQ(at(21.0), "");
}

TEST(LiveView, DrawsOverItsOwnBlockAndKeepsWhatIsSaid) {
  std::ostringstream out;
  std::ostringstream err;
  LiveView view(out, err, LiveView::Kind::terminal);
  LiveStatus status;
  status.straps = {{"left_thigh", kStreaming, 80, 100, 0}, {"chest", "given up", {}, 7, 2}};
  view.show(status);
  view.show(status);  // three lines up
  view.line_was_typed();
  view.say("now");  // and the line break that Enter made
  view.show(status);
  const std::string text = out.str();
  EXPECT_NE(text.find("\x1b[3A\r\x1b[J"), std::string::npos);
  EXPECT_NE(text.find("\x1b[4A\r\x1b[Jnow\n  "), std::string::npos);
  EXPECT_NE(text.find("2 batches missing"), std::string::npos);
}

TEST(LiveView, OneLineNamesWhatIsNotWell) {
  std::ostringstream out;
  std::ostringstream err;
  LiveView view(out, err, LiveView::Kind::lines);
  LiveStatus status;
  status.part = "set";
  status.seconds = 75.0;
  status.reps = 4;
  status.counted_by = "left_thigh";
  status.straps = {{"left_thigh", kStreaming, 80, 100, 0}, {"chest", "given up", 60, 7, 2}};
  view.show(status);
  EXPECT_EQ(out.str(),
            " 1:15  set  4 reps (counted on left_thigh)  1 of 2 straps streaming, battery at least "
            "60 %, 2 batches missing  chest: given up\n");
}

}  // namespace
}  // namespace strapline::cli
