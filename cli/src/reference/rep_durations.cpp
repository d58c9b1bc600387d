#include "rep_durations.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include <fmt/format.h>

#include "../text_table.hpp"

namespace strapline::cli::reference {
namespace {

constexpr double kWidestGrid = 1.0;   // s
constexpr double kGridStep = 0.01;    // s, times are written to this
constexpr double kOnGrid = 0.9;       // share of the times
constexpr double kNinetyFive = 1.96;  // standard deviations, two-sided 95 %

double mean_of(const std::vector<double>& x) {
  return std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
}

double middle_of(std::vector<double> x) {
  if (x.empty()) return 0.0;
  const auto middle = x.begin() + static_cast<std::ptrdiff_t>(x.size() / 2);
  std::nth_element(x.begin(), middle, x.end());
  return *middle;
}

const dsp::Rep* overlapped_most(const dsp::SetAnalysis& result, const LabelledRep& label) {
  const dsp::Rep* best = nullptr;
  double most = 0.0;
  for (const dsp::Rep& rep : result.reps) {
    const double overlap = std::min(label.to_s, rep.end_s) - std::max(label.from_s, rep.start_s);
    if (overlap <= most) continue;
    most = overlap;
    best = &rep;
  }
  return best;
}

/// Share of `times` that agree in their remainder by `grid`.
double share_on_grid(const std::vector<double>& times, double grid) {
  const auto steps = std::lround(grid / kGridStep);
  std::map<long, int> remainders;
  int most = 0;
  for (const double t : times) {
    most = std::max(most, ++remainders[std::lround(t / kGridStep) % steps]);
  }
  return static_cast<double>(most) / static_cast<double>(times.size());
}

/// 95 % limits that are left when every block's own mean is taken out.
double limits_within_blocks(const std::vector<DurationBlock>& blocks) {
  double sum = 0.0, freedom = 0.0;
  for (const DurationBlock& block : blocks) {
    if (block.errors.size() < 2) continue;
    const double mean = mean_of(block.errors);
    for (const double e : block.errors) sum += (e - mean) * (e - mean);
    freedom += static_cast<double>(block.errors.size()) - 1.0;
  }
  return freedom > 0.0 ? kNinetyFive * std::sqrt(sum / freedom) : 0.0;
}

}  // namespace

void DurationStudy::add(const std::string& recording, const std::vector<LabelledRep>& labels,
                        const dsp::SetAnalysis& result) {
  std::map<int, DurationBlock> by_kind;
  std::map<int, std::vector<double>> pauses;
  for (std::size_t k = 0; k < labels.size(); ++k) {
    const LabelledRep& label = labels[k];
    label_times.insert(label_times.end(), {label.from_s, label.to_s});
    if (k > 0 && labels[k - 1].kind == label.kind) {
      pauses[label.kind].push_back(label.from_s - labels[k - 1].to_s);
    }
    if (const dsp::Rep* rep = overlapped_most(result, label)) {
      by_kind[label.kind].errors.push_back(rep->end_s - rep->start_s - label.length_s());
    }
  }
  for (auto& [kind, block] : by_kind) {
    block.recording = recording;
    block.kind = kind;
    block.pause_s = middle_of(pauses[kind]);
    blocks.push_back(std::move(block));
  }
}

DurationAgreement agreement(const std::vector<double>& errors) {
  DurationAgreement a;
  a.n = static_cast<int>(errors.size());
  if (a.n < 2) return a;
  a.bias = mean_of(errors);
  double sum = 0.0;
  for (const double e : errors) sum += (e - a.bias) * (e - a.bias);
  const double half = kNinetyFive * std::sqrt(sum / (a.n - 1));
  a.lower = a.bias - half;
  a.upper = a.bias + half;
  return a;
}

double grid_of(const std::vector<double>& times) {
  if (times.size() < 2) return 0.0;
  for (long steps = std::lround(kWidestGrid / kGridStep); steps > 1; --steps) {
    const double grid = kGridStep * static_cast<double>(steps);
    if (share_on_grid(times, grid) >= kOnGrid) return grid;
  }
  return 0.0;
}

std::string duration_table(const DurationStudy& study) {
  TextTable table;
  table.add_column("rep durations less labelled, s", TextTable::Align::left);
  for (const char* column : {"reps", "bias", "95 % limits", "labelled pause"}) {
    table.add_column(column, TextTable::Align::right);
  }
  std::vector<double> errors, biases;
  for (const DurationBlock& block : study.blocks) {
    const DurationAgreement a = agreement(block.errors);
    table.add_row({fmt::format("{}, kind {}", block.recording, block.kind), std::to_string(a.n),
                   fmt::format("{:+.2f}", a.bias),
                   fmt::format("{:+.2f} to {:+.2f}", a.lower, a.upper),
                   fmt::format("{:.2f}", block.pause_s)});
    errors.insert(errors.end(), block.errors.begin(), block.errors.end());
    biases.push_back(a.bias);
  }
  if (errors.size() < 2) return {};
  const DurationAgreement all = agreement(errors);
  const auto [least, most] = std::minmax_element(biases.begin(), biases.end());
  const double grid = grid_of(study.label_times);
  return table.text(kTextWidth) +
         fmt::format(
             "rep durations against {} labelled: bias {:+.2f} s, 95 % limits {:+.2f} to {:+.2f} s\n"
             "  of these, with each block's own bias ({:+.2f} to {:+.2f} s: what a label includes "
             "differs) taken out ±{:.2f} s\n"
             "  labelled times lie on a grid of {:.2f} s: that alone makes ±{:.2f} s\n",
             all.n, all.bias, all.lower, all.upper, *least, *most,
             limits_within_blocks(study.blocks), grid,
             // Two borders, each rounded evenly by half a step at most.
             kNinetyFive * grid / std::sqrt(6.0));
}

}  // namespace strapline::cli::reference
