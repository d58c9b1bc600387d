#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include <sys/types.h>

namespace strapline::testing {

/// A program run as a process of its own, its output in files. Killed and waited for at the end of
/// its life, so that no test leaves one behind.
class ChildProgram {
 public:
  /// Starts it in `folder`; output goes to NAME.out and NAME.err there.
  ChildProgram(const std::vector<std::string>& command, std::filesystem::path folder,
               const std::string& name);
  ChildProgram(const ChildProgram&) = delete;
  ChildProgram& operator=(const ChildProgram&) = delete;
  ~ChildProgram();

  /// Exit status; −signal where a signal ended it.
  int wait();
  void signal(int number) const;
  [[nodiscard]] bool running() const;
  [[nodiscard]] std::string out() const;
  [[nodiscard]] std::string err() const;
  /// Waits until the output holds a whole line; empty where the program ended without.
  [[nodiscard]] std::string first_line();

 private:
  std::filesystem::path out_, err_;
  pid_t pid_ = -1;
};

}  // namespace strapline::testing
