#include "strapline/dsp/segmentation.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "strapline/dsp/butterworth.hpp"
#include "strapline/dsp/time_grid.hpp"

#include "excursions.hpp"
#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// A stretch that holds a rep is known to about this share of its length at either end.
constexpr double kStretchMargin = 0.2;
constexpr double kTurnMargin = 0.1;  // of it: no rep turns so near to where it begins

constexpr double kCrossing = 0.1;     // samples: of a time read off the line between two of them
constexpr double kBeforeStop = 0.25;  // of the ringing: a phase's stop sets it off, and before the
                                      // next rep most of it has died away

struct Span {
  Index first, last;  // inclusive
};

/// NaNs bridged by the last known value, so that filters stay finite.
VectorXd bridged(const VectorXd& x, double fallback) {
  VectorXd y = x;
  double last = fallback;
  for (Index i = 0; i < y.size(); ++i) {
    if (std::isfinite(y[i])) last = y[i];
    y[i] = last;
  }
  return y;
}

Index peak_of(const VectorXd& x, Span span) {
  Index at = 0;
  x.segment(span.first, span.last - span.first + 1).maxCoeff(&at);
  return span.first + at;
}

Index dip_of(const VectorXd& x, Span span) {
  Index at = 0;
  x.segment(span.first, span.last - span.first + 1).minCoeff(&at);
  return span.first + at;
}

/// Stretches in which x stays above `level`.
std::vector<Span> stretches_above(const VectorXd& x, double level, Span within) {
  std::vector<Span> found;
  Index begin = -1;
  for (Index i = within.first; i <= within.last + 1; ++i) {
    const bool above = i <= within.last && x[i] > level;
    if (above && begin < 0) begin = i;
    if (!above && begin >= 0) {
      found.push_back({begin, i - 1});
      begin = -1;
    }
  }
  return found;
}

/// The set's typical excursion: upper quartile of the stretches' peaks.
double typical_range(const VectorXd& x, const std::vector<Span>& stretches) {
  std::vector<double> peaks;
  for (const Span& s : stretches) peaks.push_back(x[peak_of(x, s)]);
  return quantile_of(peaks, 0.75);
}

/// A stretch is cut where it dips by more than `depth` below the lower of the peaks on either side.
void split_at_dips(const VectorXd& x, Span span, double depth, std::vector<Span>& out) {
  const Index top = peak_of(x, span);
  for (const Span& side : {Span{span.first, top}, Span{top, span.last}}) {
    // Walk away from the top; a rise by `depth` above the least so far shows a second peak.
    const Index step = side.last == top ? -1 : 1;
    const Index stop = step < 0 ? side.first : side.last;
    Index least = top;
    for (Index i = top; i != stop; i += step) {
      if (x[i] < x[least]) least = i;
      if (x[i] - x[least] < depth) continue;
      split_at_dips(x, {span.first, least}, depth, out);
      split_at_dips(x, {least, span.last}, depth, out);
      return;
    }
  }
  out.push_back(span);
}

/// One excursion seen in the angle and its rate, with the bounds that its neighbours set.
class PhaseFinder {
 public:
  PhaseFinder(const VectorXd& t, const VectorXd& x, const VectorXd& rate,
              const SegmentationParams& params)
      : t_(t), x_(x), rate_(rate), params_(params) {}

  /// `low`, `high`: how far the rep may reach. Once the angle is back, something faster than the
  /// rep may happen (a hand lets go, the feet come together), unless it is known that there is
  /// nothing but this one rep.
  Excursion find(Index low, Index peak, Index high, bool one_rep = false) const {
    Excursion e;
    e.turn_index = peak;
    const double bottom = std::max(x_[dip_of(x_, {low, peak})], x_[dip_of(x_, {peak, high})]);
    const double zone = params_.end_zone_share * (x_[peak] - bottom);
    const double near_start = bottom + zone;
    const double near_turn = x_[peak] - zone;
    const double away = bottom + params_.away_share * (x_[peak] - bottom);
    const Index from_flank = one_rep ? low : flank(peak, low, away);
    const Index to_flank = one_rep ? high : flank(peak, high, away);
    Index there = 0, back = 0;
    rate_.segment(from_flank, peak - from_flank + 1).maxCoeff(&there);
    rate_.segment(peak, to_flank - peak + 1).minCoeff(&back);
    there += from_flank;
    back += peak;
    // The stop before a rep was the other phase's, and rings the more the faster that was.
    const double rebound = std::max(1.0, -rate_[back] / std::max(rate_[there], 1e-9));
    e.start = border(there, low, near_start, false, kBeforeStop * rebound);
    e.turn_in = border(there, peak, near_turn, true, kBeforeStop);
    e.turn_out = border(back, peak, near_turn, true, 1.0);
    e.end = border(back, high, near_start, false, 1.0);
    const Index from = nearest_index(t_, e.start.time_s);
    const auto inside = x_.segment(from, nearest_index(t_, e.end.time_s) - from + 1);
    e.range = inside.maxCoeff() - inside.minCoeff();
    return e;
  }

 private:
  /// From the peak towards `limit`: where the angle is no longer away.
  Index flank(Index peak, Index limit, double away) const {
    const Index step = limit < peak ? -1 : 1;
    Index i = peak;
    while (i != limit && x_[i] > away) i += step;
    return i;
  }

  /// From the fastest point towards `limit`: where the rate falls below its share, once the angle
  /// is in the zone in which the phase may end. `rings`: share of the ringing that meets it.
  Border border(Index fastest, Index limit, double zone_edge, bool zone_above, double rings) const {
    const double peak_rate = std::abs(rate_[fastest]);
    const double noise =
        std::hypot(params_.rate_noise / std::max(peak_rate, 1e-9), rings * params_.ringing);
    const double at = crossing(fastest, limit, zone_edge, zone_above, params_.onset_share);
    const double early =
        crossing(fastest, limit, zone_edge, zone_above, params_.onset_share + noise);
    const double late = crossing(fastest, limit, zone_edge, zone_above,
                                 std::max(0.2 * params_.onset_share, params_.onset_share - noise));
    const double between = kCrossing * (t_[1] - t_[0]);
    return {at, std::hypot(0.5 * std::abs(late - early), between)};
  }

  double crossing(Index fastest, Index limit, double zone_edge, bool zone_above,
                  double share) const {
    const double sign = rate_[fastest] < 0.0 ? -1.0 : 1.0;
    const double level = share * std::abs(rate_[fastest]);
    const Index step = limit < fastest ? -1 : 1;
    for (Index i = fastest; i != limit; i += step) {
      const double here = sign * rate_[i];
      const double next = sign * rate_[i + step];
      const bool in_zone = zone_above ? x_[i + step] >= zone_edge : x_[i + step] <= zone_edge;
      if (!in_zone || next > level) continue;
      // A stall before the zone was passed over: then the phase ends as the zone is entered.
      const double part = here > level ? (here - level) / (here - next) : 0.0;
      return t_[i] + part * (t_[i + step] - t_[i]);
    }
    return t_[limit];
  }

  const VectorXd& t_;
  const VectorXd& x_;
  const VectorXd& rate_;
  const SegmentationParams& params_;
};

std::vector<Span> excursion_spans(const VectorXd& x, Span within,
                                  const SegmentationParams& params) {
  const auto first = stretches_above(x, 0.5 * params.least_range, within);
  const double range = typical_range(x, first);
  const double away = std::max(0.5 * params.least_range, params.away_share * range);
  std::vector<Span> spans;
  for (const Span& s : stretches_above(x, away, within)) {
    split_at_dips(x, s, std::max(params.least_range, params.split_share * range), spans);
  }
  const double least = std::max(params.least_range, params.least_share * range);
  std::erase_if(spans, [&](const Span& s) { return x[peak_of(x, s)] < least; });
  return spans;
}

std::vector<double> ranges_of(const std::vector<Excursion>& reps) {
  std::vector<double> ranges;
  for (const Excursion& e : reps) ranges.push_back(e.range);
  return ranges;
}

/// A stride's swing is over sooner; sitting down for a while takes longer.
bool has_the_pace_of_a_rep(const Excursion& e, const SegmentationParams& params) {
  return length_of(e) >= params.shortest_rep_s &&
         e.turn_in.time_s - e.start.time_s <= params.longest_phase_s &&
         e.turn_out.time_s - e.turn_in.time_s <= params.longest_hold_s &&
         e.end.time_s - e.turn_out.time_s <= params.longest_phase_s;
}

/// The range angle from the start posture, smoothed, and its rate.
struct RangeSignal {
  RangeSignal(const VectorXd& t, const VectorXd& angle, double start_level,
              const SegmentationParams& params)
      : rate_hz(1.0 / (t[1] - t[0])),
        x(smooth_lowpass(bridged(angle, start_level).array() - start_level, params.smoothing_hz,
                         rate_hz)),
        rate(derivative(x, rate_hz)) {}

  double rate_hz;  // Hz
  VectorXd x;      // rad
  VectorXd rate;   // rad/s
};

}  // namespace

double wide_range(const std::vector<Excursion>& reps) { return quantile_of(ranges_of(reps), 0.75); }

void leave_out_fidgeting(std::vector<Excursion>& reps, const SegmentationParams& params) {
  const double least = params.least_share * wide_range(reps);
  std::erase_if(reps, [&](const Excursion& e) { return e.range < least; });
}

void mark_part_reps(std::vector<Excursion>& reps, const SegmentationParams& params) {
  const double least = params.part_share * usual_of(ranges_of(reps), params.part_share);
  for (Excursion& e : reps) e.part = e.range < least;
}

double guess_start_level(const VectorXd& t, const VectorXd& angle, const Interval& within) {
  std::vector<double> values;
  for (Index i = 0; i < t.size(); ++i) {
    if (t[i] >= within.from_s && t[i] <= within.to_s && std::isfinite(angle[i])) {
      values.push_back(angle[i]);
    }
  }
  return quantile_of(values, 0.1);
}

std::vector<Excursion> find_excursions(const VectorXd& t, const VectorXd& angle, double start_level,
                                       const Interval& within, const SegmentationParams& params) {
  std::vector<Excursion> reps;
  if (t.size() < 8) return reps;
  const RangeSignal signal(t, angle, start_level, params);
  const VectorXd& x = signal.x;
  const Span whole{nearest_index(t, within.from_s), nearest_index(t, within.to_s)};
  const std::vector<Span> spans = excursion_spans(x, whole, params);
  const PhaseFinder finder(t, x, signal.rate, params);
  const auto longest = static_cast<Index>(params.longest_phase_s * signal.rate_hz);
  for (std::size_t k = 0; k < spans.size(); ++k) {
    const Index peak = peak_of(x, spans[k]);
    const Index before = k == 0 ? whole.first : peak_of(x, spans[k - 1]);
    const Index after = k + 1 == spans.size() ? whole.last : peak_of(x, spans[k + 1]);
    const Index low =
        k == 0 ? std::max(before, spans[k].first - longest) : dip_of(x, {before, peak});
    const Index high =
        k + 1 == spans.size() ? std::min(after, spans[k].last + longest) : dip_of(x, {peak, after});
    if (low >= peak || high <= peak) continue;
    reps.push_back(finder.find(low, peak, high));
  }
  std::erase_if(reps, [&](const Excursion& e) { return !has_the_pace_of_a_rep(e, params); });
  mark_part_reps(reps, params);
  return reps;
}

std::vector<Excursion> excursions_in(const VectorXd& t, const VectorXd& angle, double start_level,
                                     const std::vector<Interval>& stretches,
                                     const SegmentationParams& params) {
  std::vector<Excursion> reps;
  if (t.size() < 8) return reps;
  const RangeSignal signal(t, angle, start_level, params);
  const VectorXd& x = signal.x;
  const PhaseFinder finder(t, x, signal.rate, params);
  for (std::size_t k = 0; k < stretches.size(); ++k) {
    const double inside = kTurnMargin * stretches[k].length();
    const double around = kStretchMargin * stretches[k].length();
    const double before = k == 0 ? t[0] : stretches[k - 1].to_s - around;
    const double after =
        k + 1 == stretches.size() ? t[t.size() - 1] : stretches[k + 1].from_s + around;
    const Index first = nearest_index(t, std::max(before, stretches[k].from_s - around));
    const Index last = nearest_index(t, std::min(after, stretches[k].to_s + around));
    const Index peak = peak_of(x, {nearest_index(t, stretches[k].from_s + inside),
                                   nearest_index(t, stretches[k].to_s - inside)});
    if (first >= peak || peak >= last) continue;
    // Where the angle only falls, the stretch itself is all that is known of the rep.
    const Index low = dip_of(x, {first, peak});
    const Index high = dip_of(x, {peak, last});
    reps.push_back(finder.find(low < peak ? low : first, peak, high > peak ? high : last, true));
  }
  mark_part_reps(reps, params);
  return reps;
}

std::vector<Excursion> excursions_at(const VectorXd& t, const VectorXd& angle, double start_level,
                                     const std::vector<ExcursionPlace>& places,
                                     const SegmentationParams& params) {
  std::vector<Excursion> reps(places.size());
  if (t.size() < 8) return reps;
  const RangeSignal signal(t, angle, start_level, params);
  const PhaseFinder finder(t, signal.x, signal.rate, params);
  for (std::size_t k = 0; k < places.size(); ++k) {
    const auto& [turn, reach] = places[k];
    const Index peak =
        peak_of(signal.x, {nearest_index(t, turn.from_s), nearest_index(t, turn.to_s)});
    const Index first = nearest_index(t, reach.from_s), last = nearest_index(t, reach.to_s);
    if (first >= peak || peak >= last) continue;
    const Index low = dip_of(signal.x, {first, peak}), high = dip_of(signal.x, {peak, last});
    if (low < peak && peak < high) reps[k] = finder.find(low, peak, high);
  }
  return reps;
}

}  // namespace strapline::dsp
