#include "rep_matching.hpp"

#include <algorithm>
#include <cstddef>

namespace strapline::cli {
namespace {

using recordings::synthetic::RepTruth;

/// The same movement: the true turn lies within the seen rep, and its middle within the true one.
bool same(const RepTruth& truth, const dsp::Rep& seen) {
  const double turn = 0.5 * (seen.turn_in_s + seen.turn_out_s);
  return truth.turn_s > seen.start_s && truth.turn_s < seen.end_s && turn > truth.start_s &&
         turn < truth.end_s;
}

void add(const RepTruth& truth, const dsp::Rep& seen, RepMatch& match) {
  if (!truth.part && !seen.part) match.full.push_back({&truth, &seen, false});
  if (truth.doubtful) {
    ++match.doubtful;
    if (!seen.part) ++match.full_true;
  } else {
    ++(truth.part ? match.part_true : match.full_true);
    if (truth.part && seen.part) ++match.part_found;
    if (!truth.part && seen.part) ++match.part_false;
  }
  if (truth.side == dsp::Side::middle) return;
  ++match.sided;
  if (seen.side != truth.side) ++match.wrong_side;
}

}  // namespace

RepMatch match_reps(const std::vector<RepTruth>& truth, const std::vector<dsp::Rep>& seen) {
  RepMatch match;
  std::vector<char> used(seen.size(), 0);
  for (const RepTruth& rep : truth) {
    std::size_t k = 0;
    while (k < seen.size() && (used[k] != 0 || !same(rep, seen[k]))) ++k;
    if (k == seen.size()) {
      ++match.missed;
      if (!rep.doubtful) ++(rep.part ? match.part_true : match.full_true);
      continue;
    }
    used[k] = 1;
    add(rep, seen[k], match);
  }
  for (MatchedRep& rep : match.full) {
    const RepTruth* next = rep.truth + 1;
    const dsp::Rep* next_seen = rep.seen + 1;
    rep.same_next = next != truth.data() + truth.size() && next_seen != seen.data() + seen.size() &&
                    same(*next, *next_seen);
  }
  for (std::size_t k = 0; k < seen.size(); ++k) {
    if (!seen[k].part) ++match.full_seen;
    if (used[k] != 0) continue;
    ++match.invented;
    if (seen[k].part) ++match.part_false;
  }
  return match;
}

}  // namespace strapline::cli
