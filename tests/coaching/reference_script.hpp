#pragma once

#include <istream>
#include <map>
#include <string>

namespace strapline::coaching::testing {

/// What a script of tests/reference prints; empty where there is no SciPy to run it with.
[[nodiscard]] bool have_scipy();
[[nodiscard]] std::string output_of_script(const std::string& name);

/// What to do with the numbers of a line, by the word that it begins with.
using ReferenceChecks = std::map<std::string, void (*)(std::istream&)>;

/// Lets each line be checked; how many there were of each kind. A line of another kind, or one that
/// lacks a number, fails the test.
[[nodiscard]] std::map<std::string, int> check_lines(const std::string& output,
                                                     const ReferenceChecks& checks);

}  // namespace strapline::coaching::testing
