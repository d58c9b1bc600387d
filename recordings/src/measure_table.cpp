#include "measure_table.hpp"

#include <cmath>
#include <limits>
#include <set>
#include <variant>

#include "hdf5/attribute.hpp"
#include "hdf5/column.hpp"
#include "hdf5/group.hpp"

namespace strapline::recordings {
namespace {

using h5::Handle;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

struct MeasureColumn {
  std::vector<double> value, u;
  std::vector<std::string> reason;
  std::optional<dsp::Unit> unit;

  explicit MeasureColumn(std::size_t rows) : value(rows, kNone), u(rows, kNone), reason(rows) {}
};

void place(MeasureColumn& column, std::size_t row, const std::string& name,
           const dsp::Measure& measure) {
  if (const auto* absent = std::get_if<dsp::NotMeasured>(&measure)) {
    column.reason[row] = absent->reason;
    return;
  }
  const auto& measured = std::get<dsp::MeasuredValue>(measure);
  if (column.unit && *column.unit != measured.unit) h5::raise("has two units", name);
  column.unit = measured.unit;
  column.value[row] = measured.value;
  column.u[row] = measured.u;
}

MeasureColumn column_of(const std::vector<dsp::Rep>& reps, const std::string& name) {
  MeasureColumn column(reps.size());
  for (std::size_t row = 0; row < reps.size(); ++row) {
    const auto found = reps[row].measures.find(name);
    if (found != reps[row].measures.end()) place(column, row, name, found->second);
  }
  return column;
}

void write_measure(hid_t group, const std::string& name, const MeasureColumn& column) {
  const Handle measure = h5::create_group(group, name);
  // A measure that no rep has carries no unit: nothing was measured in it.
  const std::string unit = column.unit ? dsp::si_unit(*column.unit) : "";
  h5::write_column<double>(measure.get(), "value", column.value, {unit});
  h5::write_column<double>(measure.get(), "u", column.u, {unit});
  h5::write_texts(measure.get(), "reason", column.reason, {});
}

MeasureColumn read_measure(hid_t group, const std::string& name, std::size_t rows) {
  const Handle measure = h5::open_group(group, name);
  MeasureColumn column(rows);
  column.value = h5::read_column<double>(measure.get(), "value", {});
  column.u = h5::read_column<double>(measure.get(), "u", {});
  column.reason = h5::read_texts(measure.get(), "reason");
  const std::string where = h5::path_of(measure.get());
  if (column.value.size() != rows || column.u.size() != rows || column.reason.size() != rows) {
    h5::raise("its columns do not have one row per rep", where);
  }
  const Handle value = h5::open_data(measure.get(), "value");
  if (const auto unit = h5::find_text(value.get(), "unit")) {
    column.unit = unit_from_si(*unit, where);
  }
  return column;
}

}  // namespace

dsp::Unit unit_from_si(const std::string& name, const std::string& where) {
  for (const dsp::Unit unit : {dsp::Unit::one, dsp::Unit::radian, dsp::Unit::metre,
                               dsp::Unit::second, dsp::Unit::metre_per_second}) {
    if (dsp::si_unit(unit) == name) return unit;
  }
  h5::raise("unknown unit \"" + name + "\"", where);
}

void write_measures(hid_t reps_group, const std::vector<dsp::Rep>& reps) {
  std::set<std::string> names;
  for (const dsp::Rep& rep : reps) {
    for (const auto& [name, measure] : rep.measures) names.insert(name);
  }
  const Handle group = h5::create_group(reps_group, "measures");
  for (const std::string& name : names) write_measure(group.get(), name, column_of(reps, name));
}

void read_measures(hid_t reps_group, std::vector<dsp::Rep>& reps) {
  const Handle group = h5::open_group(reps_group, "measures");
  for (const std::string& name : h5::child_names(group.get())) {
    if (!h5::is_group(group.get(), name)) continue;
    const MeasureColumn column = read_measure(group.get(), name, reps.size());
    for (std::size_t row = 0; row < reps.size(); ++row) {
      if (!std::isnan(column.value[row])) {
        if (!column.unit)
          h5::raise("the attribute unit is missing", h5::path_of(group.get(), name));
        reps[row].measures[name] =
            dsp::MeasuredValue{column.value[row], column.u[row], *column.unit};
      } else if (!column.reason[row].empty()) {
        reps[row].measures[name] = dsp::NotMeasured{column.reason[row]};
      }
    }
  }
}

}  // namespace strapline::recordings
