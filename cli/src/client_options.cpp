#include "client_options.hpp"

#include <charconv>
#include <cmath>

#include "strapline/coaching/body_lengths.hpp"
#include "strapline/coaching/measure_catalogue.hpp"

#include "set_options.hpp"

namespace strapline::cli {
namespace {

using coaching::Client;

struct Pair {
  std::string name, value;
};

dsp::Result<Pair> pair_of(const std::string& text, const std::string& option) {
  const std::size_t sign = text.find('=');
  if (sign == std::string::npos || sign == 0) {
    return dsp::fail("\"" + text + "\" is not NAME=VALUE", option, "write it as squat=60");
  }
  return Pair{text.substr(0, sign), text.substr(sign + 1)};
}

dsp::Result<double> number_of(const std::string& text, const std::string& option) {
  double value = 0.0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = read.ec == std::errc() && read.ptr == text.data() + text.size();
  if (!whole || !std::isfinite(value)) return dsp::fail("\"" + text + "\" is no number", option);
  return value;
}

dsp::Result<dsp::Unit> unit_of(const std::string& measure, const std::string& option) {
  if (const auto unit = coaching::measure_unit(measure)) return *unit;
  return dsp::fail("unknown measure \"" + measure + "\"", option,
                   "use a name as review --json has it");
}

/// A number of a measure, as people read it, to SI.
dsp::Result<double> si_of(const Pair& pair, const std::string& number, const std::string& option) {
  const auto unit = unit_of(pair.name, option);
  if (!unit) return tl::make_unexpected(unit.error());
  const auto value = number_of(number, option);
  if (!value) return value;
  return *value / dsp::display_factor(*unit);
}

/// "LOW:HIGH", either of which may be empty.
dsp::Result<coaching::Band> band_of(const Pair& pair, const std::string& option) {
  const std::size_t colon = pair.value.find(':');
  const std::string low = pair.value.substr(0, colon);
  const std::string high = colon == std::string::npos ? "" : pair.value.substr(colon + 1);
  if (colon == std::string::npos || (low.empty() && high.empty())) {
    return dsp::fail("\"" + pair.value + "\" is not LOW:HIGH", option,
                     "write it as knee_flexion=:100, or =10:100");
  }
  coaching::Band band;
  for (const auto& [text, edge] : {std::pair{low, &band.low}, std::pair{high, &band.high}}) {
    if (text.empty()) continue;
    const auto value = si_of(pair, text, option);
    if (!value) return tl::make_unexpected(value.error());
    *edge = *value;
  }
  if (band.low && band.high && !(*band.low < *band.high)) {
    return dsp::fail("the upper limit is not above the lower one", option, "give LOW:HIGH");
  }
  return band;
}

/// Each NAME=VALUE into the map by `read`; "NAME=" erases.
template <class Value, class Read>
dsp::Result<void> take_pairs(const std::vector<std::string>& texts, const std::string& option,
                             std::map<std::string, Value>& map, Read read) {
  for (const std::string& text : texts) {
    const auto pair = pair_of(text, option);
    if (!pair) return tl::make_unexpected(pair.error());
    if (pair->value.empty()) {
      map.erase(pair->name);
      continue;
    }
    dsp::Result<Value> value = read(*pair);
    if (!value) return tl::make_unexpected(value.error());
    map[pair->name] = std::move(*value);
  }
  return {};
}

dsp::Result<double> load_of(const Pair& pair) {
  const auto load = number_of(pair.value, "--most-load");
  if (load && *load < 0.0) return dsp::fail("a load is not below 0 kg", "--most-load");
  return load;
}

dsp::Result<double> smallest_of(const Pair& pair) {
  const auto value = si_of(pair, pair.value, "--matters");
  if (value && !(*value > 0.0)) return dsp::fail("what matters is above 0", "--matters");
  return value;
}

void take_body(const ClientOptions& options, Client& client) {
  for (const auto& [name, length] : coaching::kBodyLengths) {
    if (options.body.*length) client.body.*length = options.body.*length;
  }
  if (options.body_mass_kg) client.body_mass_kg = options.body_mass_kg;
}

}  // namespace

void add_client_options(CLI::App& command, ClientOptions& options) {
  add_body_options(command, options.body);
  command.add_option("--mass", options.body_mass_kg, "Body mass, kg")->type_name("KG");
  command.add_option("--kit", options.kit, "The usual sensors, worn how")->type_name("TEXT");
  command.add_option("--notes", options.notes, "Notes")->type_name("TEXT");
  command
      .add_option("--pain-limit", options.pain_limit,
                  "Pain above it stops, 0 to 10 [0: any pain stops]")
      ->type_name("0-10");
  const auto add = [&](const char* name, std::vector<std::string>& into, const char* what,
                       const char* form) {
    command.add_option(name, into, std::string(what) + "; NAME= takes it away")->type_name(form);
  };
  add("--most-load", options.most_load, "Greatest load agreed, kg", "MOVEMENT=KG");
  add("--range-limit", options.range_limit, "Limit agreed for a measure", "MEASURE=LOW:HIGH");
  add("--matters", options.matters, "Smallest difference that matters", "MEASURE=VALUE");
  add("--ladder", options.ladder, "Step stood on", "LADDER=STEP");
}

dsp::Result<void> take(const ClientOptions& options, Client& client) {
  take_body(options, client);
  if (options.kit) client.kit = *options.kit;
  if (options.notes) client.notes = *options.notes;
  if (options.pain_limit) client.limits.pain = *options.pain_limit;
  if (auto loads = take_pairs(options.most_load, "--most-load", client.limits.load_kg, load_of);
      !loads) {
    return loads;
  }
  if (auto ranges = take_pairs(options.range_limit, "--range-limit", client.limits.range,
                               [](const Pair& pair) { return band_of(pair, "--range-limit"); });
      !ranges) {
    return ranges;
  }
  if (auto matters =
          take_pairs(options.matters, "--matters", client.smallest_that_matters, smallest_of);
      !matters) {
    return matters;
  }
  return take_pairs(options.ladder, "--ladder", client.ladder_steps,
                    [](const Pair& pair) { return dsp::Result<std::string>(pair.value); });
}

}  // namespace strapline::cli
