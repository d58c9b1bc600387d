#include "command_line.hpp"

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <sstream>

namespace strapline::cli::testing {

Outcome strapline(const std::vector<std::string>& arguments) {
  std::istringstream in;
  std::ostringstream out, err;
  Outcome outcome;
  outcome.status = run_program(arguments, {in, out, err});
  outcome.out = out.str();
  outcome.err = err.str();
  return outcome;
}

CommandTest::CommandTest() {
  std::string name = (std::filesystem::temp_directory_path() / "strapline_cli_XXXXXX").string();
  if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
  folder_ = name;
  // Nobody's own clients: none is there until a test sets one up.
  ::setenv("STRAPLINE_CLIENTS", at("clients").c_str(), 1);
}

CommandTest::~CommandTest() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

std::vector<std::string> CommandTest::names() const {
  std::vector<std::string> found;
  for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
    found.push_back(entry.path().filename().string());
  }
  std::sort(found.begin(), found.end());
  return found;
}

void CommandTest::put(const std::string& name, const std::string& text) const {
  std::ofstream(folder_ / name, std::ios::binary) << text;
}

std::string CommandTest::bytes_of(const std::string& name) const {
  std::ifstream in(folder_ / name, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string CommandTest::synth(const std::string& name,
                               const std::vector<std::string>& arguments) const {
  std::vector<std::string> all{"synth", "-o", at(name)};
  all.insert(all.end(), arguments.begin(), arguments.end());
  const Outcome made = strapline(all);
  EXPECT_EQ(made.status, kDone) << made.err;
  EXPECT_EQ(made.err, "");
  return at(name);
}

std::string CommandTest::put_csv(const std::string& name, double seconds) const {
  std::string text = "t,ax,ay,az,gx,gy,gz\n";
  for (int i = 0; i <= static_cast<int>(seconds * 50.0); ++i) {
    text += std::to_string(i * 0.02) + ",0.1,9.8,0.2,0.01,0.02,0.03\n";
  }
  put(name, text);
  return at(name);
}

void expect_refused(const Outcome& outcome, int status, const std::string& line) {
  EXPECT_EQ(outcome.status, status);
  EXPECT_EQ(outcome.err, line + "\n");
  EXPECT_EQ(outcome.out, "");
}

std::filesystem::path data_folder() {
  if (const char* given = std::getenv("STRAPLINE_DATA")) return given;
  return std::filesystem::path(STRAPLINE_ROOT) / "../shared/data";
}

}  // namespace strapline::cli::testing
