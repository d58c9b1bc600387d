#include "strapline/recordings/check.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "strapline/recordings/results.hpp"
#include "strapline/recordings/validate.hpp"

#include "atomic_file.hpp"
#include "hdf5/group.hpp"
#include "recording_reader.hpp"

namespace strapline::recordings {
namespace {

using Findings = std::vector<Finding>;

constexpr double kMostSaturated = 0.001;      // share of samples that is worth a word
constexpr double kMostClockResidual = 0.001;  // s; a tenth of a sample at 100 Hz
constexpr double kMostRateError = 0.01;       // common crystals keep 1e-4; 1 % is a wrong number

void add(Findings& findings, Severity severity, std::string text) {
  findings.push_back({severity, std::move(text)});
}

struct Gaps {
  int count = 0;
  double longest_s = 0.0;
};

Gaps gaps_of(const dsp::InertialSeries& series) {
  Gaps gaps;
  for (std::size_t i = 0; i < series.flags.size(); ++i) {
    if ((series.flags[i] & dsp::kAfterGap) == 0) continue;
    const auto at = static_cast<Eigen::Index>(i);
    ++gaps.count;
    gaps.longest_s = std::max(gaps.longest_s, series.t[at] - series.t[at - 1]);
  }
  return gaps;
}

double median_step(const Eigen::VectorXd& t) {
  std::vector<double> steps;
  for (Eigen::Index i = 1; i < t.size(); ++i) steps.push_back(t[i] - t[i - 1]);
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  return *middle;
}

void check_rate(Findings& findings, const StrapRecord& strap, const std::string& name) {
  const double rate = 1.0 / median_step(strap.t);
  const bool wrong = !(std::abs(rate / strap.rate_hz - 1.0) <= kMostRateError);
  add(findings, wrong ? Severity::loss : Severity::note,
      fmt::format("{}: {} samples in {:.2f} s, {:.4g} Hz{}", name, strap.t.size(),
                  strap.t[strap.t.size() - 1] - strap.t[0], rate,
                  wrong ? fmt::format(", but the strap states {:.4g} Hz", strap.rate_hz) : ""));
}

void check_saturation(Findings& findings, const StrapRecord& strap,
                      const dsp::InertialSeries& series, const std::string& name) {
  if (strap.full_scale_count <= 0) return;
  const auto saturated =
      std::count_if(series.flags.begin(), series.flags.end(), [](std::uint8_t flag) {
        return (flag & (dsp::kAccelerometerSaturated | dsp::kGyroscopeSaturated)) != 0;
      });
  const double share = static_cast<double>(saturated) / static_cast<double>(series.size());
  if (share > kMostSaturated) {
    add(findings, Severity::loss,
        fmt::format("{}: {:.1f} % of the samples stand at the end of the scale", name,
                    100.0 * share));
  }
}

void check_clock(Findings& findings, const StrapRecord& strap, const std::string& name) {
  if (strap.clock.seconds_per_tick <= 0.0) {
    add(findings, Severity::note, name + ": no clock fit is stored");
    return;
  }
  double worst = 0.0;
  for (Eigen::Index i = 0; i < strap.t.size(); ++i) {
    const auto ticks = static_cast<double>(strap.tick[static_cast<std::size_t>(i)]);
    const double fitted = strap.clock.offset_s + ticks * strap.clock.seconds_per_tick;
    worst = std::max(worst, std::abs(strap.t[i] - fitted));
  }
  if (worst > kMostClockResidual) {
    add(findings, Severity::loss,
        fmt::format("{}: the times stray up to {:.1f} ms from the clock fit", name, 1e3 * worst));
  }
}

void check_losses(Findings& findings, const StrapRecord& strap, const std::string& name) {
  if (strap.link.lost + strap.link.device_dropped == 0) return;
  add(findings, Severity::loss,
      fmt::format("{}: {} batches lost on the link, {} samples dropped in the strap", name,
                  strap.link.lost, strap.link.device_dropped));
}

void check_strap(Findings& findings, const StrapRecord& strap, const std::string& name) {
  if (strap.t.size() < 2) {
    add(findings, Severity::fault, fmt::format("{}: {} samples", name, strap.t.size()));
    return;
  }
  const dsp::StrapSeries read = to_series(strap);
  const dsp::InertialSeries& series = read.data;
  check_rate(findings, strap, name);
  for (const dsp::Interval& stuck : read.stuck) {
    add(findings, Severity::loss,
        fmt::format("{}: the same reading again and again from {:.2f} s to {:.2f} s, left out", name,
                    stuck.from_s, stuck.to_s));
  }
  if (const Gaps gaps = gaps_of(series); gaps.count > 0) {
    add(findings, Severity::loss,
        fmt::format("{}: {} gaps, the longest {:.3f} s", name, gaps.count, gaps.longest_s));
  }
  check_saturation(findings, strap, series, name);
  check_clock(findings, strap, name);
  check_losses(findings, strap, name);
}

void check_parts(Findings& findings, const dsp::RecordingParts& parts) {
  if (!parts.still) {
    add(findings, Severity::note, "no still part is marked: angles start from the first posture");
  }
  if (!parts.align) add(findings, Severity::note, "no align part is marked");
  if (!parts.set) add(findings, Severity::note, "no set part is marked: the whole is searched");
}

// The straps lie on one common time; where they never do, they were not one set.
void check_overlap(Findings& findings, const std::vector<StrapRecord>& straps) {
  double to = std::numeric_limits<double>::infinity();
  double from = -to;
  for (const StrapRecord& strap : straps) {
    if (strap.t.size() == 0) continue;
    from = std::max(from, strap.t[0]);
    to = std::min(to, strap.t[strap.t.size() - 1]);
  }
  if (from >= to) add(findings, Severity::loss, "the straps share no stretch of time");
}

void read_straps(Findings& findings, hid_t root, std::vector<StrapRecord>& straps) {
  for (const std::string& name : strap_names(root)) {
    try {
      straps.push_back(read_strap(root, name));
      check_strap(findings, straps.back(), name);
    } catch (const h5::Error& error) {
      add(findings, Severity::fault, error.failure().line());
    }
  }
  if (straps.empty()) add(findings, Severity::fault, "no strap can be read");
}

Findings check_file(const std::filesystem::path& path) {
  const h5::Image image = h5::Image::open(read_whole(path), h5::Image::Access::read);
  Recording recording = read_description(image.root());
  Findings findings;
  add(findings, Severity::note,
      fmt::format("recording of {}, {}", recording.description.client,
                  recording.description.movement));
  read_straps(findings, image.root(), recording.straps);
  for (const dsp::Failure& problem : problems(recording)) {
    add(findings, Severity::loss, problem.line());
  }
  check_overlap(findings, recording.straps);
  check_parts(findings, recording.parts);
  if (h5::has_child(image.root(), "results")) {
    const auto results = read_results(path);
    add(findings, results ? Severity::note : Severity::loss,
        results ? "results of " + results->algorithm : results.error().line());
  }
  return findings;
}

}  // namespace

std::vector<Finding> check_recording(const std::filesystem::path& path) {
  auto findings = h5::guarded(path, [&] { return check_file(path); });
  if (!findings) return {{Severity::fault, findings.error().line()}};
  return *findings;
}

}  // namespace strapline::recordings
