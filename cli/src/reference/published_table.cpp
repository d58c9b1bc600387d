#include "published_table.hpp"

#include <optional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "../text_table.hpp"

namespace strapline::cli::reference {
namespace {

std::string number(const std::optional<double>& value, int decimals) {
  return value ? fmt::format("{:.{}f}", *value, decimals) : "-";
}

}  // namespace

std::vector<ReferenceRow> published_rows(const std::string& folder) {
  std::vector<ReferenceRow> rows = inclination_rows(folder);
  for (const auto more : {joint_rows, squat_rows}) {
    std::vector<ReferenceRow> found = more(folder);
    rows.insert(rows.end(), found.begin(), found.end());
  }
  return rows;
}

std::string published_table(const std::vector<ReferenceRow>& rows) {
  TextTable table;
  using Align = TextTable::Align;
  table.add_column("data set", Align::left);
  table.add_column("trial", Align::left);
  table.add_column("quantity", Align::left);
  table.add_column("ours", Align::right);
  table.add_column("mark", Align::right);
  table.add_column("verdict", Align::left);
  table.add_column("in 95 %", Align::right);
  std::string notes;
  for (const ReferenceRow& row : rows) {
    const auto percent = row.coverage95 ? std::optional(100.0 * *row.coverage95) : std::nullopt;
    const int decimals = row.higher_is_better ? 3 : 2;
    table.add_row({row.set, row.trial, row.quantity, number(row.ours, decimals),
                   number(row.mark, decimals), row.verdict(), number(percent, 0)});
    if (row.ours_in_time && row.time_shift_ms) {
      notes += fmt::format("{} {}: {:.2f} if the truth's clock is moved by {:.0f} ms\n", row.set,
                           row.trial, *row.ours_in_time, *row.time_shift_ms);
    }
    if (!row.note.empty()) {
      notes += paragraph(fmt::format("{} {}, {}: ", row.set, row.trial, row.quantity), row.note,
                         kTextWidth);
    }
  }
  return table.text(kTextWidth) +
         "Error: RMSE in degrees, or a correlation. Verdict: against the mark. Flexion: a constant "
         "offset removed,\nthe truth's sign by the program's rule (positive towards the larger "
         "excursion). \"in 95 %\": share of errors\nwithin the stated uncertainty, inclinations "
         "with the constant turn from sensor to markers removed. Stick: that\nturn and the earth's "
         "vertical, which the set does not tell, are found from the estimate. How the error would "
         "be\nwith another clock is for information only.\n" +
         notes;
}

nlohmann::json as_json(const ReferenceRow& row) {
  const auto value = [](const std::optional<double>& x) {
    return x ? nlohmann::json(*x) : nlohmann::json();
  };
  return {{"set", row.set},
          {"trial", row.trial},
          {"quantity", row.quantity},
          {"ours", value(row.ours)},
          {"unit", row.unit},
          {"mark", value(row.mark)},
          {"verdict", row.verdict()},
          {"better", row.better()},
          {"coverage95", value(row.coverage95)},
          {"time_shift_ms", value(row.time_shift_ms)},
          {"ours_in_time", value(row.ours_in_time)},
          {"note", row.note}};
}

}  // namespace strapline::cli::reference
