#include "aim_reader.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/coaching/measure_catalogue.hpp"

#include "load_range_reader.hpp"
#include "measure_reader.hpp"

namespace strapline::coaching {
namespace {

/// The load of a row: `kg` or `body_mass`.
std::optional<double> read_load(TableReader& reader, LoadScale& scale) {
  const auto kg = reader.maybe_number("kg");
  const auto mass = reader.maybe_number("body_mass");
  if (kg.has_value() == mass.has_value()) {
    reader.fault("kg", "a row of 'with_load' needs 'kg' or 'body_mass', not both",
                 "kg is the load, body_mass the load as a multiple of body mass");
    return std::nullopt;
  }
  const double load = kg ? *kg : *mass;
  if (!(load >= 0.0 && std::isfinite(load))) {
    reader.fault(kg ? "kg" : "body_mass", "the load must not be below 0");
  }
  scale = kg ? LoadScale::kg : LoadScale::body_mass;
  return load;
}

bool same_edges(const Band& a, const Band& b) {
  return a.low.has_value() == b.low.has_value() && a.high.has_value() == b.high.has_value();
}

/// Faults where a row does not go on from the rows before it.
void check_row(TableReader& reader, const AimBand& band, LoadScale scale, const BandAtLoad& row) {
  if (band.at.empty()) return;
  const BandAtLoad& last = band.at.back();
  if (scale != band.scale) {
    reader.fault("at_most", "the rows of 'with_load' mix kg and body_mass", "use one of them");
  } else if (!(row.load > last.load)) {
    reader.fault(scale == LoadScale::kg ? "kg" : "body_mass",
                 "the loads of 'with_load' do not rise", "order the rows by load");
  } else if (!same_edges(row.edges, last.edges)) {
    reader.fault("at_most", "the rows of 'with_load' do not have the same edges",
                 "give at_least, at_most or both in every row");
  }
}

void read_row(TableReader& reader, AimBand& band) {
  LoadScale scale = LoadScale::kg;
  const auto load = read_load(reader, scale);
  const BandAtLoad row{load.value_or(0.0), read_band(reader, band.unit)};
  check_row(reader, band, scale, row);
  band.scale = scale;
  band.at.push_back(row);
}

void read_edges(TableReader& reader, AimBand& band) {
  if (!reader.has("with_load")) {
    band.at.push_back({0.0, read_band(reader, band.unit)});
    return;
  }
  if (reader.has("at_least") || reader.has("at_most")) {
    reader.fault("with_load", "edges stand both beside 'with_load' and in it",
                 "give them in its rows alone");
  }
  for (const toml::table* row : reader.tables("with_load")) {
    reader.inside(*row, reader.title_of("with_load"), [&](auto& inner) { read_row(inner, band); });
  }
  if (band.at.size() < 2) {
    reader.fault("with_load", "'with_load' needs two rows or more",
                 "a band for every load has at_least and at_most alone");
  }
}

void read_aim_band(TableReader& reader, AimBand& band) {
  read_edges(reader, band);
  band.why = reader.text("why");
  band.source = reader.text("source");
}

void read_bands(TableReader& reader, Aim& aim) {
  for (const std::string& name : reader.keys()) {
    AimBand band;
    band.measure = name;
    band.unit = read_measure_unit(reader, name);
    const toml::table* table = reader.table(name);
    if (table == nullptr) continue;
    reader.inside(*table, reader.title_of(name), [&](auto& inner) { read_aim_band(inner, band); });
    aim.bands.push_back(std::move(band));
  }
  if (aim.bands.empty()) {
    reader.fault("bands", "no band is given", "name at least one measure that matters");
  }
  std::stable_sort(aim.bands.begin(), aim.bands.end(),
                   [](const auto& a, const auto& b) { return shown_before(a.measure, b.measure); });
}

double read_strictness(TableReader& root) {
  const double share = root.number("strictness");
  if (!(share > 0.0 && share <= 1.0)) {
    root.fault("strictness", "'strictness' is the share of reps that must lie inside",
               "give a number above 0, up to 1");
  }
  return share;
}

}  // namespace

void read_aim(TableReader& root, Aim& aim) {
  aim.name = root.text("name");
  aim.title = root.text("title");
  aim.movement = root.text("movement");
  aim.variation = root.maybe_text("variation");
  aim.purpose = root.text("purpose");
  aim.strictness = read_strictness(root);
  if (const toml::table* load = root.maybe_table("load")) {
    root.inside(*load, "load", [&](auto& inner) { aim.holds_for = read_load_range(inner); });
  }
  if (const toml::table* bands = root.table("bands")) {
    root.inside(*bands, "bands", [&](auto& inner) { read_bands(inner, aim); });
  }
}

}  // namespace strapline::coaching
