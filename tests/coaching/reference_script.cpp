#include "reference_script.hpp"

#include <array>
#include <cstdio>
#include <filesystem>
#include <sstream>

#include <gtest/gtest.h>

namespace strapline::coaching::testing {
namespace {

constexpr const char* kPython = "/usr/bin/python3";

/// Standard output of a command; empty where it fails.
std::string output_of(const std::string& command) {
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return {};
  std::string output;
  std::array<char, 4096> block{};
  for (std::size_t n = 0; (n = std::fread(block.data(), 1, block.size(), pipe)) > 0;) {
    output.append(block.data(), n);
  }
  return pclose(pipe) == 0 ? output : std::string();
}

}  // namespace

bool have_scipy() {
  return std::filesystem::exists(kPython) &&
         !output_of(std::string(kPython) + " -c 'import scipy; print(1)' 2>/dev/null").empty();
}

std::string output_of_script(const std::string& name) {
  return output_of(std::string(kPython) + " '" STRAPLINE_REFERENCE "/" + name + "'");
}

std::map<std::string, int> check_lines(const std::string& output, const ReferenceChecks& checks) {
  std::map<std::string, int> done;
  std::istringstream lines(output);
  for (std::string text; std::getline(lines, text);) {
    SCOPED_TRACE(text);
    std::istringstream line(text);
    std::string kind;
    line >> kind;
    const auto check = checks.find(kind);
    EXPECT_NE(check, checks.end()) << "unknown kind of line";
    if (check == checks.end()) continue;
    check->second(line);
    EXPECT_TRUE(line) << "a number is missing in the reference";
    ++done[kind];
  }
  return done;
}

}  // namespace strapline::coaching::testing
