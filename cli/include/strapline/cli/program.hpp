#pragma once

#include <iosfwd>
#include <string>
#include <vector>

namespace strapline::cli {

/// Exit statuses of the program.
enum Status : int {
  kDone = 0,
  kFailed = 1,          ///< one line on the error stream says what, where, what to do
  kUsage = 2,           ///< the command line itself could not be understood
  kDoneWithLosses = 3,  ///< done, and something was lost on the way: the error stream says what
};

/// Where a command reads and writes: results to `out`, diagnostics to `err`.
struct Console {
  std::istream& in;
  std::ostream& out;
  std::ostream& err;
};

/// Runs one command line (without the program's name) and returns its Status. Never throws.
[[nodiscard]] int run_program(const std::vector<std::string>& arguments, Console console);

}  // namespace strapline::cli
