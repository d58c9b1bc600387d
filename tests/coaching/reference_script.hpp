#pragma once

#include <string>

namespace strapline::coaching::testing {

/// What a script of tests/reference prints; empty where there is no SciPy to run it with.
[[nodiscard]] bool have_scipy();
[[nodiscard]] std::string output_of_script(const std::string& name);

}  // namespace strapline::coaching::testing
