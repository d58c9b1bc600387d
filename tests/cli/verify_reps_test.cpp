#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::ContainsRegex;
using ::testing::HasSubstr;

class VerifyReps : public CommandTest {};

TEST_F(VerifyReps, NamesTheFolderThatHasNoRecordings) {
  expect_refused(strapline({"verify", "--reps", folder_.string()}), kFailed,
                 "strapline: " + folder_.string() +
                     ": no labelled recordings; name the folder that holds "
                     "reps/gym_wrist/index.csv");
}

TEST_F(VerifyReps, TellsWhatWasCountedAndWhatCouldNotBeRead) {
  std::filesystem::create_directories(folder_ / "reps" / "gym_wrist");
  put("reps/gym_wrist/index.csv",
      "set,exercise_code,reps\nrest,PULL,0\nwrong,PULL,3\nmissing,PULL,5\nodd,PULL,x\n");
  put_csv("reps/gym_wrist/rest.csv", 10.0);
  put_csv("reps/gym_wrist/wrong.csv", 10.0);
  const Outcome outcome = strapline({"verify", "--reps", folder_.string()});
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_THAT(outcome.out, ContainsRegex("rest +PULL +wrist +0 +0 +exact"));
  EXPECT_THAT(outcome.out, ContainsRegex("wrong +PULL +wrist +3 +0 +-3"));
  EXPECT_THAT(outcome.out, HasSubstr("missing.csv"));
  EXPECT_THAT(outcome.out, HasSubstr("'x' is no number"));
  EXPECT_THAT(outcome.out, ContainsRegex("gym_wrist +4 +25.0 % +25.0 % +0"));
}

}  // namespace
}  // namespace strapline::cli::testing
