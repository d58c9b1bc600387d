#pragma once

#include <sstream>
#include <string>
#include <vector>

#include "strapline/cli/program.hpp"

namespace strapline::cli::testing {

/// What one command line did.
struct LineResult {
  int status = 0;
  std::string out;
  std::string err;
};

inline LineResult run_line(const std::vector<std::string>& arguments) {
  std::istringstream in;
  std::ostringstream out;
  std::ostringstream err;
  const int status = run_program(arguments, {in, out, err});
  return {status, out.str(), err.str()};
}

}  // namespace strapline::cli::testing
