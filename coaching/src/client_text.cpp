#include <sstream>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "strapline/coaching/body_lengths.hpp"
#include "strapline/coaching/client.hpp"
#include "strapline/coaching/measure_catalogue.hpp"

namespace strapline::coaching {
namespace {

constexpr std::string_view kHead =
    "# A client. Written by strapline client, which keeps every key here but no comments.\n"
    "# Degrees, cm, s, m/s where a measure is named; metres and kg for the body.\n";

std::string quoted(const std::string& text) {
  std::ostringstream out;
  out << toml::value<std::string>(text);
  return out.str();
}

/// A bare key where TOML allows it.
std::string key_text(const std::string& key) {
  const bool bare = !key.empty() && key.find_first_not_of(
                                        "abcdefghijklmnopqrstuvwxyz"
                                        "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                        "0123456789_-") == std::string::npos;
  return bare ? key : quoted(key);
}

/// Twelve digits: what was typed comes back as typed although it was SI in between.
std::string number(double value) { return fmt::format("{:.12g}", value); }

std::string shown(const std::string& measure, double si) {
  return number(si * dsp::display_factor(measure_unit(measure).value_or(dsp::Unit::one)));
}

std::string body_text(const Client& client) {
  std::string text;
  for (const auto& [key, member] : kBodyLengths) {
    if (const auto length = client.body.*member)
      text += fmt::format("{} = {}\n", key, number(*length));
  }
  if (client.body_mass_kg) text += fmt::format("mass_kg = {}\n", number(*client.body_mass_kg));
  return text;
}

std::string band_text(const std::string& measure, const Band& band) {
  std::string text;
  if (band.low) text += "at_least = " + shown(measure, *band.low);
  if (band.low && band.high) text += ", ";
  if (band.high) text += "at_most = " + shown(measure, *band.high);
  return fmt::format("{} = {{ {} }}\n", key_text(measure), text);
}

template <class Value, class Text>
std::string map_text(const std::map<std::string, Value>& map, Text text) {
  std::string lines;
  for (const auto& [key, value] : map) {
    lines += fmt::format("{} = {}\n", key_text(key), text(key, value));
  }
  return lines;
}

std::string table_text(const std::string& name, const std::string& lines) {
  return lines.empty() ? "" : "\n[" + name + "]\n" + lines;
}

std::string aims_text(const std::vector<std::string>& aims) {
  std::string list;
  for (const std::string& aim : aims) list += (list.empty() ? "" : ", ") + quoted(aim);
  return "aims = [" + list + "]\n";
}

}  // namespace

std::string client_text(const Client& client) {
  const auto plain = [](const std::string&, double value) { return number(value); };
  const auto words = [](const std::string&, const std::string& text) { return quoted(text); };
  std::string ranges;
  for (const auto& [measure, band] : client.limits.range) ranges += band_text(measure, band);
  std::string text(kHead);
  text += "name = " + quoted(client.name) + "\n";
  text += "kit = " + quoted(client.kit) + "\n";
  text += "notes = " + quoted(client.notes) + "\n";
  text += aims_text(client.aims);
  text += table_text("body", body_text(client));
  text += table_text("limits", fmt::format("pain = {}  # 0 to 10; pain above it stops\n",
                                           number(client.limits.pain)));
  text += table_text("limits.load_kg", map_text(client.limits.load_kg, plain));
  text += table_text("limits.range", ranges);
  text += table_text("matters", map_text(client.smallest_that_matters, shown));
  return text + table_text("ladder", map_text(client.ladder_steps, words));
}

}  // namespace strapline::coaching
