#include "strapline/coaching/client.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "strapline/coaching/body_lengths.hpp"
#include "strapline/coaching/measure_catalogue.hpp"

#include "measure_reader.hpp"
#include "toml_reader.hpp"

namespace strapline::coaching {
namespace {

constexpr double kMostPain = 10.0;
constexpr double kLongest = 3.0;  // m: above it somebody wrote centimetres

using ReadInside = void (*)(TableReader&, Client&);

void read_body(TableReader& reader, Client& client) {
  for (const auto& [key, member] : kBodyLengths) {
    const auto length = reader.maybe_number(key);
    if (length && !(*length > 0.0 && *length < kLongest)) {
      reader.fault(key, "'" + std::string(key) + "' must lie between 0 and 3 m",
                   "give it in metres");
    }
    client.body.*member = length;
  }
  client.body_mass_kg = reader.maybe_number("mass_kg");
  if (client.body_mass_kg && !(*client.body_mass_kg > 0.0 && std::isfinite(*client.body_mass_kg))) {
    reader.fault("mass_kg", "'mass_kg' must be above 0");
  }
}

void read_loads(TableReader& reader, Client& client) {
  for (const std::string& movement : reader.keys()) {
    const double load = reader.number(movement);
    if (!(load >= 0.0 && std::isfinite(load))) {
      reader.fault(movement, "the greatest load must not be below 0", "0 is body weight alone");
    }
    client.limits.load_kg[movement] = load;
  }
}

void read_ranges(TableReader& reader, Client& client) {
  for (const std::string& name : reader.keys()) {
    const dsp::Unit unit = read_measure_unit(reader, name);
    const toml::table* table = reader.table(name);
    if (table == nullptr) continue;
    reader.inside(*table, reader.title_of(name),
                  [&](auto& inner) { client.limits.range[name] = read_band(inner, unit); });
  }
}

/// A table that may be missing, each key of which `read` asks for.
void read_part(TableReader& reader, std::string_view key, Client& client, ReadInside read) {
  const toml::table* table = reader.maybe_table(key);
  if (table == nullptr) return;
  reader.inside(*table, reader.title_of(key), [&](auto& inner) { read(inner, client); });
}

void read_limits(TableReader& reader, Client& client) {
  client.limits.pain = reader.maybe_number("pain").value_or(kStrictPainLimit);
  if (!(client.limits.pain >= 0.0 && client.limits.pain <= kMostPain)) {
    reader.fault("pain", "the pain limit must lie between 0 and 10");
  }
  read_part(reader, "load_kg", client, read_loads);
  read_part(reader, "range", client, read_ranges);
}

void read_matters(TableReader& reader, Client& client) {
  for (const std::string& name : reader.keys()) {
    const dsp::Unit unit = read_measure_unit(reader, name);
    const double shown = reader.number(name);
    if (!(shown > 0.0 && std::isfinite(shown))) {
      reader.fault(name, "the smallest difference that matters must be above 0");
    }
    client.smallest_that_matters[name] = shown / dsp::display_factor(unit);
  }
}

void read_ladders(TableReader& reader, Client& client) {
  for (const std::string& ladder : reader.keys()) client.ladder_steps[ladder] = reader.text(ladder);
}

void read_client(TableReader& root, Client& client) {
  client.name = root.text("name");
  client.kit = root.maybe_text("kit");
  client.notes = root.maybe_text("notes");
  client.aims = root.maybe_texts("aims");
  read_part(root, "body", client, read_body);
  read_part(root, "limits", client, read_limits);
  read_part(root, "matters", client, read_matters);
  read_part(root, "ladder", client, read_ladders);
}

}  // namespace

dsp::Result<Client> parse_client(std::string_view toml, std::string_view where) {
  Client client;
  const auto read = read_toml(toml, where, [&](TableReader& root) { read_client(root, client); });
  if (!read) return tl::make_unexpected(read.error());
  return client;
}

std::optional<Band> range_limit(const AgreedLimits& limits, const std::string& full_name) {
  if (const auto own = limits.range.find(full_name); own != limits.range.end()) return own->second;
  const auto parsed = parse_measure_name(full_name);
  if (!parsed) return std::nullopt;
  const auto base = limits.range.find(parsed->base);
  if (base == limits.range.end()) return std::nullopt;
  return base->second;
}

}  // namespace strapline::coaching
