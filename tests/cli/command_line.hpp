#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "strapline/cli/program.hpp"

namespace strapline::cli::testing {

/// What one command line did.
struct Outcome {
  int status = 0;
  std::string out, err;
  [[nodiscard]] nlohmann::json json() const { return nlohmann::json::parse(out); }
};

[[nodiscard]] Outcome strapline(const std::vector<std::string>& arguments);

/// A folder of its own for each test, gone with it.
class CommandTest : public ::testing::Test {
 protected:
  CommandTest();
  ~CommandTest() override;
  [[nodiscard]] std::string at(const std::string& name) const { return (folder_ / name).string(); }
  /// Names of what lies in the folder, sorted.
  [[nodiscard]] std::vector<std::string> names() const;
  void put(const std::string& name, const std::string& text) const;
  [[nodiscard]] std::string bytes_of(const std::string& name) const;
  /// `synth` with these arguments; the file's full path.
  std::string synth(const std::string& name, const std::vector<std::string>& arguments = {}) const;
  /// A CSV file of a strap at rest for `seconds` at 50 Hz.
  std::string put_csv(const std::string& name, double seconds) const;

  std::filesystem::path folder_;
};

/// Exactly this line, this status, and nothing on the output.
void expect_refused(const Outcome& outcome, int status, const std::string& line);

/// The folder of real recordings, whether it is there or not.
[[nodiscard]] std::filesystem::path data_folder();

}  // namespace strapline::cli::testing
