// Reading and comparing logbooks: how the cost grows with the sets, and what a roster of 500
// clients costs. Files are made once and kept (made_up_logbook.hpp); the roster's take some minutes
// and a gigabyte the first time.
#include <algorithm>
#include <cstdlib>
#include <iostream>
#include <sstream>

#include "strapline/cli/program.hpp"

#include "made_up_logbook.hpp"
#include "yardstick.hpp"

namespace strapline::benchmarks {
namespace {

using recordings::LogbookPart;

constexpr int kClients = 500;
constexpr int kSetsOfAClient = 1000;

[[noreturn]] void stop(const std::string& why) {
  std::cerr << why << '\n';
  std::exit(1);
}

std::size_t read(const std::filesystem::path& file, const LogbookPart& part) {
  const auto logbook = recordings::read_logbook(file, part);
  if (!logbook) stop(logbook.error().line());
  return logbook->sets.size();
}

void read_part(benchmark::State& state, const LogbookPart& part) {
  const auto file = logbook_file(static_cast<int>(state.range(0)));
  const PerSample cost(state, static_cast<double>(state.range(0)), "set");
  for (auto _ : state) benchmark::DoNotOptimize(read(file, part));
  state.SetComplexityN(state.range(0));
}

/// Who trained what and when.
void read_headlines(benchmark::State& state) { read_part(state, {}); }

/// With the mean, spread and uncertainty of 29 measures of every set.
void read_summaries(benchmark::State& state) { read_part(state, {recordings::every_set, {}}); }

/// The command as a coach gives it, from opening the file to the last line.
void compare_one_client(benchmark::State& state) {
  const std::string file = logbook_file(static_cast<int>(state.range(0))).string();
  const PerSample cost(state, static_cast<double>(state.range(0)), "set");
  for (auto _ : state) {
    std::istringstream in;
    std::ostringstream out, err;
    const int status = cli::run_program({"compare", file, "--no-page"}, {in, out, err});
    if (status != cli::kDone) stop(err.str());
    benchmark::DoNotOptimize(out.str());
  }
  state.SetComplexityN(state.range(0));
}

void sizes(benchmark::internal::Benchmark* one) {
  one->RangeMultiplier(10)->Range(100, 100000)->Complexity()->Unit(benchmark::kMillisecond);
}
BENCHMARK(read_headlines)->Apply(sizes);
BENCHMARK(read_summaries)->Apply(sizes);
BENCHMARK(compare_one_client)->Apply(sizes);

/// Notes when the first line of a client came out, as a coach sees it: after the table's head.
class FirstRow : public std::stringbuf {
 public:
  [[nodiscard]] double seconds() const { return first_s_; }

 protected:
  int sync() override {
    const std::string so_far = str();
    const bool row = std::count(so_far.begin(), so_far.end(), '\n') > 1;
    if (row && first_s_ == 0.0) first_s_ = processor_time_s() - begun_s_;
    return std::stringbuf::sync();
  }

 private:
  double begun_s_ = processor_time_s();
  double first_s_ = 0.0;
};

/// The command over 500 clients with 1,000 sets each: until its first client, and all of it.
void roster(benchmark::State& state) {
  const std::string clients = clients_with_logbooks(kClients, kSetsOfAClient).string();
  const std::string date = day_after(kSetsOfAClient);
  const PerSample cost(state, kClients, "client");
  for (auto _ : state) {
    std::istringstream in;
    FirstRow rows;
    std::ostream out(&rows);
    std::ostringstream err;
    const int status =
        cli::run_program({"roster", "--clients", clients, "--date", date}, {in, out, err});
    if (status != cli::kDone) stop(err.str());
    state.counters["first_client_ms"] = 1e3 * rows.seconds();
  }
}
BENCHMARK(roster)->Unit(benchmark::kMillisecond);

/// The headlines of everybody: what a roster of them alone would cost.
void headlines_of_everybody(benchmark::State& state) {
  const auto clients = clients_with_logbooks(kClients, kSetsOfAClient);
  const PerSample cost(state, kClients, "client");
  for (auto _ : state) {
    for (const auto& client : std::filesystem::directory_iterator(clients)) {
      benchmark::DoNotOptimize(read(client.path() / "logbook.h5", {}));
    }
  }
}
BENCHMARK(headlines_of_everybody)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace strapline::benchmarks
