#pragma once

#include <sstream>
#include <string>
#include <vector>

#include "strapline/cli/program.hpp"

namespace strapline::testing {

/// What a command line gave: its status and what it wrote.
struct LineResult {
  int status = 0;
  std::string out, err;
};

/// Runs the command line in this process, with nothing on its input.
inline LineResult run_line(const std::vector<std::string>& arguments) {
  std::istringstream in;
  std::ostringstream out, err;
  const int status = cli::run_program(arguments, {in, out, err});
  return {status, out.str(), err.str()};
}

}  // namespace strapline::testing
