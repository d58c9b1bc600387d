#include "child_program.hpp"

#include <chrono>
#include <csignal>
#include <fstream>
#include <sstream>
#include <thread>

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

extern char** environ;

namespace strapline::testing {
namespace {

std::string read_all(const std::filesystem::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return text.str();
}

}  // namespace

ChildProgram::ChildProgram(const std::vector<std::string>& command, std::filesystem::path folder,
                           const std::string& name)
    : out_(folder / (name + ".out")), err_(folder / (name + ".err")) {
  std::vector<std::string> words = command;
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  constexpr int kNew = O_WRONLY | O_CREAT | O_TRUNC;
  posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, out_.c_str(), kNew, 0600);
  posix_spawn_file_actions_addopen(&files, STDERR_FILENO, err_.c_str(), kNew, 0600);
  posix_spawn_file_actions_addchdir_np(&files, folder.c_str());
  if (posix_spawn(&pid_, arguments[0], &files, nullptr, arguments.data(), environ) != 0) pid_ = -1;
  posix_spawn_file_actions_destroy(&files);
}

ChildProgram::~ChildProgram() {
  if (pid_ <= 0) return;
  signal(SIGKILL);
  wait();
}

int ChildProgram::wait() {
  int status = 0;
  if (pid_ <= 0 || ::waitpid(pid_, &status, 0) != pid_) return -1;
  pid_ = -1;
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

void ChildProgram::signal(int number) const {
  if (pid_ > 0) ::kill(pid_, number);
}

bool ChildProgram::running() const {
  siginfo_t info{};
  if (pid_ <= 0) return false;
  const int asked = ::waitid(P_PID, static_cast<id_t>(pid_), &info, WEXITED | WNOHANG | WNOWAIT);
  return asked == 0 && info.si_pid == 0;
}

std::string ChildProgram::out() const { return read_all(out_); }
std::string ChildProgram::err() const { return read_all(err_); }

std::string ChildProgram::first_line() {
  while (true) {
    const bool ended = !running();  // asked before the output is read: none comes after
    const std::string text = out();
    const auto end = text.find('\n');
    if (end != std::string::npos) return text.substr(0, end);
    if (ended) return {};
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
}

}  // namespace strapline::testing
