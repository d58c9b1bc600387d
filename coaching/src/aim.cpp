#include "strapline/coaching/aim.hpp"

#include <algorithm>

#include "strapline/coaching/measure_catalogue.hpp"

#include "aim_reader.hpp"
#include "definition_file.hpp"
#include "embedded_aims.hpp"

namespace strapline::coaching {
namespace {

std::optional<double> between(const std::optional<double>& a, const std::optional<double>& b,
                              double share) {
  if (!a || !b) return std::nullopt;
  return *a + share * (*b - *a);
}

}  // namespace

std::vector<std::string> built_in_aims() { return built_in_names(aims::file_names()); }

std::string_view built_in_aim_text(const std::string& name) { return aims::text(name + ".toml"); }

dsp::Result<Aim> parse_aim(std::string_view toml, std::string_view where) {
  Aim aim;
  const auto read = read_toml(toml, where, [&](TableReader& root) { read_aim(root, aim); });
  if (!read) return tl::make_unexpected(read.error());
  return aim;
}

dsp::Result<Aim> load_aim(const std::string& name_or_path) {
  const auto text = definition_text({"aim", aims::file_names(), aims::text}, name_or_path);
  if (!text) return tl::make_unexpected(text.error());
  return parse_aim(text->toml, text->where);
}

tl::expected<double, Unknown> load_on(LoadScale scale, const LoadedWith& with) {
  if (!with.load_kg) return tl::make_unexpected(Unknown::load);
  if (scale == LoadScale::kg) return *with.load_kg;
  if (!with.body_mass_kg) return tl::make_unexpected(Unknown::body_mass);
  return *with.load_kg / *with.body_mass_kg;
}

tl::expected<Band, Unknown> edges_at(const AimBand& band, const LoadedWith& with) {
  if (!band.depends_on_load()) return band.at.front().edges;
  const auto load = load_on(band.scale, with);
  if (!load) return tl::make_unexpected(load.error());
  const auto above = std::find_if(band.at.begin(), band.at.end(),
                                  [&](const BandAtLoad& row) { return row.load > *load; });
  if (above == band.at.begin()) return above->edges;
  const auto below = std::prev(above);
  if (above == band.at.end()) return below->edges;
  const double share = (*load - below->load) / (above->load - below->load);
  return Band{between(below->edges.low, above->edges.low, share),
              between(below->edges.high, above->edges.high, share)};
}

bool concerns(const AimBand& band, const std::string& full_name) {
  const auto of_band = parse_measure_name(band.measure);
  const auto full = parse_measure_name(full_name);
  if (!of_band || !full) return band.measure == full_name;
  const bool any_side = of_band->side == dsp::Side::middle || of_band->side == full->side;
  return any_side && of_band->base == full->base && of_band->statistic == full->statistic;
}

}  // namespace strapline::coaching
