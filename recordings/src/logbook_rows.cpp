#include "logbook_rows.hpp"

#include <string_view>
#include <unordered_map>

namespace strapline::recordings {
namespace {

/// Rows between two wanted runs that are read along: that is quicker than to begin anew.
constexpr std::size_t kReadAlong = 1024;

[[noreturn]] void unknown_set(std::string_view id, const TableReader& table) {
  h5::raise("names a set that /sets does not have in this place: " + std::string(id),
            table.path("set_id"));
}

}  // namespace

SetRows::SetRows(hid_t root, const std::string& name, const TableReader& sets,
                 const std::string& first_column, const std::vector<LoggedSet>& logged,
                 const std::vector<bool>& wanted)
    : table_(root, name) {
  const bool stated = sets.has(first_column);
  choose(
      stated ? runs_from(sets.wholes(first_column), sets.path(first_column)) : runs_by_id(logged),
      wanted);
  check_ids(logged);
}

std::vector<SetRows::Run> SetRows::runs_from(const std::vector<std::int64_t>& first,
                                             const std::string& where) const {
  std::vector<Run> runs(first.size());
  std::size_t end = table_.table_rows();
  for (std::size_t i = first.size(); i-- > 0;) {
    const auto begin = static_cast<std::size_t>(first[i]);  // a negative one becomes too great
    if (begin > end || (i == 0 && begin != 0)) {
      h5::raise("does not agree with the rows of " + table_.path(""), where);
    }
    runs[i] = {i, begin, end - begin};
    end = begin;
  }
  if (first.empty() && end != 0) h5::raise("has rows of no set", table_.path(""));
  return runs;
}

std::vector<SetRows::Run> SetRows::runs_by_id(const std::vector<LoggedSet>& logged) const {
  std::unordered_map<std::string_view, std::size_t> sets;
  for (std::size_t i = 0; i < logged.size(); ++i) sets[logged[i].set_id] = i;
  const h5::PackedTexts ids = table_.texts("set_id");
  std::vector<Run> runs;
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (row == 0 || ids[row] != ids[row - 1]) {
      const auto found = sets.find(ids[row]);
      if (found == sets.end()) unknown_set(ids[row], table_);
      runs.push_back({found->second, row, 0});
    }
    ++runs.back().count;
  }
  return runs;
}

void SetRows::choose(std::vector<Run> all, const std::vector<bool>& wanted) {
  std::vector<h5::Rows> ranges;
  std::size_t chosen = 0;  // rows of the ranges before the last
  for (Run& run : all) {
    if (run.count == 0 || !wanted[run.set]) continue;
    const bool near =
        !ranges.empty() && run.first <= ranges.back().first + ranges.back().count + kReadAlong;
    if (!near) {
      chosen += ranges.empty() ? 0 : ranges.back().count;
      ranges.push_back({run.first, 0});
    }
    h5::Rows& range = ranges.back();
    range.count = run.first + run.count - range.first;
    run.first = chosen + run.first - range.first;
    runs_.push_back(run);
  }
  table_.choose(std::move(ranges));
}

void SetRows::check_ids(const std::vector<LoggedSet>& logged) const {
  const h5::PackedTexts ids = table_.texts("set_id");
  for (const Run& run : runs_) {
    for (std::size_t row = run.first; row < run.first + run.count; ++row) {
      if (ids[row] != logged[run.set].set_id) unknown_set(ids[row], table_);
    }
  }
}

}  // namespace strapline::recordings
