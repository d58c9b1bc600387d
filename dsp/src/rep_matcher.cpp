#include "rep_matcher.hpp"

#include <algorithm>
#include <cmath>

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kLengthStep = 1.13;  // of the ladder: half a step off costs no similarity
constexpr int kSeedsPerLength = 8;
constexpr double kSeedSimilarity = 0.3;  // to what follows: less is not worth trying
constexpr double kSeedSpacing = 0.3;     // of the length
constexpr double kTooWide = 1.8;         // of the usual amplitude: rather something else

struct Weights {
  std::array<Index, kPathPoints> at;
  std::array<double, kPathPoints> part;
};

Weights weights_of(double length) {
  Weights w{};
  for (int m = 0; m < kPathPoints; ++m) {
    const double x = length * m / (kPathPoints - 1);
    w.at[static_cast<std::size_t>(m)] = static_cast<Index>(std::floor(x));
    w.part[static_cast<std::size_t>(m)] = x - std::floor(x);
  }
  return w;
}

/// Starts at which a stretch of this length is inside.
Index starts(Index n, double length) {
  return std::max<Index>(0, n - static_cast<Index>(std::ceil(length)) - 1);
}

}  // namespace

RepMatcher::RepMatcher(const MotionFeatures& features, const RepetitionParams& params)
    : features_(features), params_(params) {
  const double n = static_cast<double>(features.size());
  for (double l = params.shortest_s / features.step_s;
       l < params.longest_s / features.step_s && l < 0.5 * n; l *= kLengthStep) {
    lengths_.push_back(l);
    VectorXd amplitude(starts(features.size(), l));
    for (Index i = 0; i < amplitude.size(); ++i) {
      amplitude[i] = path(i, l).norm() / std::sqrt(static_cast<double>(kPathPoints));
    }
    amplitudes_.push_back(std::move(amplitude));
  }
}

RepPath RepMatcher::path(Index first, double length) const {
  RepPath out;
  const Weights w = weights_of(length);
  for (int m = 0; m < kPathPoints; ++m) {
    const auto k = static_cast<std::size_t>(m);
    const Index i = first + w.at[k];
    out.col(m) =
        (1.0 - w.part[k]) * features_.value.col(i) + w.part[k] * features_.value.col(i + 1);
  }
  const Eigen::Matrix<double, 5, 1> mean = out.rowwise().mean();
  out.colwise() -= mean;
  return out;
}

Index RepMatcher::last(const Match& m) const {
  return std::min(features_.size() - 1, m.first + static_cast<Index>(std::lround(length(m))));
}

VectorXd RepMatcher::similarity(const RepPath& rep, std::size_t k) const {
  // The template has no mean, so the stretch's own need not be taken out: a filter over samples.
  const double length = lengths_[k];
  const Weights w = weights_of(length);
  const VectorXd& amplitude = amplitudes_[k];
  VectorXd dot = VectorXd::Zero(amplitude.size());
  const Index n = amplitude.size();
  for (int m = 0; m < kPathPoints; ++m) {
    const auto p = static_cast<std::size_t>(m);
    const Eigen::Matrix<double, 1, 5> here = rep.col(m).transpose();
    dot.noalias() +=
        (1.0 - w.part[p]) * (here * features_.value.middleCols(w.at[p], n)).transpose();
    dot.noalias() += w.part[p] * (here * features_.value.middleCols(w.at[p] + 1, n)).transpose();
  }
  const double root = std::sqrt(static_cast<double>(kPathPoints));
  return (dot.array() / (root * amplitude.array().max(1e-6))).matrix();
}

VectorXd RepMatcher::gains(const RepTemplate& rep, std::size_t k,
                           const VectorXd& similarity) const {
  const double seconds = lengths_[k] * features_.step_s;
  const double least = params_.least_similarity;
  VectorXd gain(similarity.size());
  for (Index i = 0; i < gain.size(); ++i) {
    const double size = amplitudes_[k][i];
    const double share = size / rep.amplitude;
    double worth = std::min(1.0, share);
    if (share > kTooWide) worth *= kTooWide * kTooWide / (share * share);
    if (share < params_.smallest_share || size < params_.least_amplitude) worth = 0.0;
    gain[i] = worth * seconds * (similarity[i] - least) / (1.0 - least);
  }
  return gain;
}

std::vector<Match> RepMatcher::best_cover(const RepTemplate& rep) const {
  struct Rung {
    int index;
    Index samples;
    VectorXd similarity, gain;
  };
  std::vector<Rung> rungs;
  for (std::size_t k = 0; k < lengths_.size(); ++k) {
    const double ratio = lengths_[k] / rep.length;
    if (ratio < params_.fastest || ratio > params_.slowest) continue;
    VectorXd s = similarity(rep.path, k);
    VectorXd g = gains(rep, k, s);
    rungs.push_back({static_cast<int>(k), static_cast<Index>(std::lround(lengths_[k])),
                     std::move(s), std::move(g)});
  }
  const auto n = static_cast<std::size_t>(features_.size());
  std::vector<double> worth(n + 1, 0.0);
  std::vector<int> chosen(n + 1, -1);
  for (std::size_t end = 1; end <= n; ++end) {
    worth[end] = worth[end - 1];
    for (std::size_t r = 0; r < rungs.size(); ++r) {
      const Index begin = static_cast<Index>(end) - rungs[r].samples;
      if (begin < 0 || begin >= rungs[r].gain.size() || rungs[r].gain[begin] <= 0.0) continue;
      const double with = worth[static_cast<std::size_t>(begin)] + rungs[r].gain[begin];
      if (with <= worth[end]) continue;
      worth[end] = with;
      chosen[end] = static_cast<int>(r);
    }
  }
  std::vector<Match> matches;
  for (std::size_t end = n; end > 0;) {
    if (chosen[end] < 0) {
      --end;
      continue;
    }
    const Rung& rung = rungs[static_cast<std::size_t>(chosen[end])];
    const Index begin = static_cast<Index>(end) - rung.samples;
    matches.push_back({begin, rung.index, rung.gain[begin], rung.similarity[begin]});
    end = static_cast<std::size_t>(begin);
  }
  std::reverse(matches.begin(), matches.end());
  return matches;
}

void RepMatcher::seeds_of_length(std::size_t k, std::vector<RepTemplate>& out) const {
  struct Seed {
    double score;
    Index at;
  };
  const double length = lengths_[k];
  const auto next = static_cast<Index>(std::lround(length));
  std::vector<Seed> found;
  for (Index i = 0; i + next < amplitudes_[k].size(); ++i) {
    const double here = amplitudes_[k][i];
    const double there = amplitudes_[k][i + next];
    const double size = std::min(here, there);
    if (size < params_.least_amplitude) continue;
    const double alike =
        path(i, length).cwiseProduct(path(i + next, length)).sum() / (kPathPoints * here * there);
    if (alike > kSeedSimilarity) found.push_back({(alike - kSeedSimilarity) * std::sqrt(size), i});
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Seed& a, const Seed& b) { return a.score > b.score; });
  std::vector<Index> taken;
  for (const Seed& seed : found) {
    if (taken.size() == kSeedsPerLength) break;
    const bool near = std::any_of(taken.begin(), taken.end(), [&](Index at) {
      return static_cast<double>(std::abs(at - seed.at)) < kSeedSpacing * length;
    });
    if (near) continue;
    taken.push_back(seed.at);
    out.push_back({path(seed.at, length).normalized(), length, amplitudes_[k][seed.at]});
  }
}

std::vector<RepTemplate> RepMatcher::seeds() const {
  std::vector<RepTemplate> out;
  for (std::size_t k = 0; k < lengths_.size(); ++k) seeds_of_length(k, out);
  return out;
}

void RepMatcher::block(Index first, Index last) {
  for (std::size_t k = 0; k < lengths_.size(); ++k) {
    VectorXd& amplitude = amplitudes_[k];
    const Index from = std::max<Index>(0, first - static_cast<Index>(lengths_[k]));
    const Index to = std::min(last + 1, amplitude.size());
    if (from < to) amplitude.segment(from, to - from).setZero();
  }
}

RepTemplate RepMatcher::common(const std::vector<Match>& matches, double amplitude) const {
  RepTemplate rep{RepPath::Zero(), 0.0, 0.0};
  std::vector<double> sizes, lengths, weights;
  for (const Match& m : matches) {
    const double size = this->amplitude(m);
    const double weight = m.gain * std::min(1.0, size / amplitude) / std::max(size, 1e-9);
    rep.path += weight * path(m.first, length(m));
    sizes.push_back(size);
    lengths.push_back(length(m));
    weights.push_back(size * length(m));
  }
  rep.path.normalize();
  const double large = weighted_median_of(sizes, weights);
  rep.amplitude = median_of(sizes);
  if (large > kTooWide * rep.amplitude) rep.amplitude = large;
  rep.length = median_of(lengths);
  return rep;
}

}  // namespace strapline::dsp
