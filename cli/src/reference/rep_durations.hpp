#pragma once

#include <string>
#include <vector>

#include "strapline/dsp/set_analysis.hpp"

namespace strapline::cli::reference {

/// A rep as it was marked by hand.
struct LabelledRep {
  int kind = 0;  ///< the data's own: 1 normal, 2 fast, 3 low-amplitude
  double from_s = 0.0, to_s = 0.0;

  [[nodiscard]] double length_s() const { return to_s - from_s; }
};

/// Rep durations against labelled ones, s (limits of agreement: Bland & Altman 1986).
struct DurationAgreement {
  int n = 0;
  double bias = 0.0;
  double lower = 0.0, upper = 0.0;  ///< 95 % limits
};

/// One kind of reps in one recording: labelled in one go, so in one manner, if in any.
struct DurationBlock {
  std::string recording;
  int kind = 0;
  double pause_s = 0.0;  ///< median, between one labelled rep and the next
  std::vector<double> errors;
};

/// What is compared, and how finely the labels could tell.
struct DurationStudy {
  std::vector<DurationBlock> blocks;
  std::vector<double> label_times;  ///< s, of every border

  /// Compares each labelled rep with the rep that it overlaps most.
  void add(const std::string& recording, const std::vector<LabelledRep>& labels,
           const dsp::SetAnalysis& result);
};

[[nodiscard]] DurationAgreement agreement(const std::vector<double>& errors);

/// The widest grid that nine in ten of `times` lie on, s; 0 where there is none.
[[nodiscard]] double grid_of(const std::vector<double>& times);

/// The agreement of every block and of all, and beside it what the labels' own grid and their
/// manner, which differs from block to block, contribute; empty where nothing was compared.
[[nodiscard]] std::string duration_table(const DurationStudy& study);

}  // namespace strapline::cli::reference
