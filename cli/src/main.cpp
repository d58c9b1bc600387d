#include <iostream>
#include <string>
#include <vector>

#include "strapline/cli/program.hpp"

int main(int argc, char** argv) {
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  return strapline::cli::run_program(arguments, {std::cin, std::cout, std::cerr});
}
