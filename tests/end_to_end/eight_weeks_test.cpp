// The demo's story, decided by the program itself: of three clients one earns a step, one holds
// because a change cannot be told yet, one is stopped by logged pain; each gets a letter.

#include <filesystem>
#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "strapline/cli/program.hpp"

#include "child_program.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;
using strapline::testing::ChildProgram;
using ::testing::HasSubstr;
using ::testing::Not;

class EightWeeks : public ::testing::Test {
 protected:
  EightWeeks() {
    fs::create_directories(folder_);
    ChildProgram weeks({"/usr/bin/env", "STRAPLINE=" STRAPLINE_PROGRAM, "bash",
                        STRAPLINE_ROOT "/cli/scripts/eight_weeks.sh"},
                       folder_, "weeks");
    EXPECT_EQ(weeks.wait(), 0) << weeks.err();
  }
  ~EightWeeks() override { fs::remove_all(folder_); }

  [[nodiscard]] std::string run(std::vector<std::string> arguments) const {
    arguments.insert(arguments.end(), {"--clients", (folder_ / "clients").string()});
    std::istringstream in;
    std::ostringstream out, err;
    EXPECT_EQ(run_program(arguments, {in, out, err}), kDone) << err.str();
    return out.str();
  }
  [[nodiscard]] nlohmann::json next(const std::string& client) const {
    return nlohmann::json::parse(run({"next", client, "--json"}))["ladders"][0];
  }
  static std::string state(const nlohmann::json& next, const std::string& rule) {
    for (const auto& finding : next["findings"]) {
      if (finding["rule"] == rule) return finding["state"];
    }
    return "no such rule";
  }

  void the_medic_earns_a_step() const {
    const auto json = next("medic");
    EXPECT_EQ(json["proposal"], "go on");
    EXPECT_EQ(json["to_step"], "parallel_loaded");
    EXPECT_THAT(run({"letter", "medic"}), HasSubstr("You have earned the next step"));
    EXPECT_THAT(run({"letter", "medic"}), HasSubstr("more than measuring alone explains"));
  }
  void the_winch_operator_holds() const {
    const auto json = next("winch operator");
    EXPECT_EQ(json["proposal"], "hold");
    for (const auto& finding : json["findings"]) {
      const bool range = finding["rule"] == "range_kept";
      EXPECT_EQ(finding["state"], range ? "cannot tell yet" : "met") << finding["rule"];
    }
    EXPECT_THAT(run({"letter", "winch operator"}),
                HasSubstr("cannot be told from measuring noise yet"));
  }
  void the_stretcher_lead_is_stopped() const {
    const auto json = next("stretcher lead");
    EXPECT_EQ(json["proposal"], "stop");
    EXPECT_EQ(state(json, "pain"), "not met");
    const std::string letter = run({"letter", "stretcher lead"});
    EXPECT_THAT(letter, HasSubstr("see a licensed professional before going on"));
    EXPECT_THAT(letter, HasSubstr("left shoulder"));
    EXPECT_THAT(letter, Not(HasSubstr("You have earned")));
  }

  fs::path folder_ = fs::temp_directory_path() / ("strapline_weeks_" + std::to_string(getpid()));
};

// One test: the weeks take seconds to make.
TEST_F(EightWeeks, OneEarnsAStepOneHoldsOneIsStopped) {
  the_medic_earns_a_step();
  the_winch_operator_holds();
  the_stretcher_lead_is_stopped();
  EXPECT_THAT(run({"roster"}),
              HasSubstr("3 clients: 1 stopped, 0 more with a caution, 1 more with"));
}

}  // namespace
}  // namespace strapline::cli
