// What `record` takes from the file of a client who is set up.
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "live/record_plan.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

class RecordForAClient : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("strapline-client-" + std::to_string(::getpid()));
    fs::create_directories(folder_ / "medic");
    std::ofstream(folder_ / "medic/client.toml")
        << "name = \"medic\"\nkit = \"thighs\"\n[body]\nheight = 1.78\nshank = 0.43\n";
    options_.straps = {"left_thigh=/dev/none"};
    options_.clients = folder_.string();
    options_.output = (folder_ / "set.h5").string();
    options_.notes.description.client = "Medic";
  }
  void TearDown() override { fs::remove_all(folder_); }

  fs::path folder_;
  RecordOptions options_;
};

TEST_F(RecordForAClient, KitLengthsAndLogbookAreTheClients) {
  const auto plan = make_plan(options_);
  ASSERT_TRUE(plan) << plan.error().line();
  EXPECT_EQ(plan->notes.description.client, "medic");  // as set up
  EXPECT_EQ(plan->notes.description.kit, "thighs");
  EXPECT_EQ(plan->notes.body.height, 1.78);
  EXPECT_EQ(plan->notes.body.shank, 0.43);
  EXPECT_FALSE(plan->notes.body.thigh);
  EXPECT_EQ(plan->logbook, folder_ / "medic/logbook.h5");
}

TEST_F(RecordForAClient, WhatIsTypedGoesFirst) {
  options_.notes.description.kit = "left thigh alone";
  options_.notes.body.height = 1.8;
  options_.logbook = "other.h5";
  const auto plan = make_plan(options_);
  ASSERT_TRUE(plan) << plan.error().line();
  EXPECT_EQ(plan->notes.description.kit, "left thigh alone");
  EXPECT_EQ(plan->notes.body.height, 1.8);
  EXPECT_EQ(plan->notes.body.shank, 0.43);
  EXPECT_EQ(plan->logbook, "other.h5");
}

TEST_F(RecordForAClient, SomebodyWhoIsNotSetUpIsRecordedAllTheSame) {
  options_.notes.description.client = "winch operator";
  const auto plan = make_plan(options_);
  ASSERT_TRUE(plan) << plan.error().line();
  EXPECT_EQ(plan->notes.description.client, "winch operator");
  EXPECT_FALSE(plan->notes.body.height);
  EXPECT_EQ(plan->logbook, "");
}

TEST_F(RecordForAClient, AFaultyFileIsSaidBeforeAStrapIsAsked) {
  std::ofstream(folder_ / "medic/client.toml") << "name = \"medic\"\nkitt = \"x\"\n";
  const auto plan = make_plan(options_);
  ASSERT_FALSE(plan);
  EXPECT_THAT(plan.error().line(), ::testing::HasSubstr("client.toml:2: 'kitt' is not known here"));
}

}  // namespace
}  // namespace strapline::cli
