#include "client_matters.hpp"

#include <nlohmann/json.hpp>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"

#include "clients_folder.hpp"

namespace strapline::cli {
namespace {

dsp::Unit unit_of(const std::string& measure) {
  return coaching::measure_unit(measure).value_or(dsp::Unit::one);
}

/// True where the name itself or its base name was typed.
bool was_typed(const std::string& name, const coaching::CompareOptions& typed) {
  return coaching::smallest_for(name, typed).has_value();
}

std::string list_of(const std::vector<Matters>& matters, MattersFrom from) {
  std::string text;
  for (const Matters& one : matters) {
    if (one.from != from) continue;
    text += (text.empty() ? "" : ", ") + coaching::measure_title(one.measure) + " " +
            coaching::format_value(one.value, unit_of(one.measure));
  }
  return text;
}

}  // namespace

dsp::Result<std::vector<Matters>> add_client_matters(const std::string& clients,
                                                     const std::string& client,
                                                     coaching::CompareOptions& options) {
  std::vector<Matters> matters;
  for (const auto& [name, value] : options.smallest_that_matters) {
    matters.push_back({name, value, MattersFrom::command_line});
  }
  const coaching::CompareOptions typed = options;
  const auto known = find_client(clients_folder(clients), client);
  if (!known) return tl::make_unexpected(known.error());
  if (!*known) return matters;
  for (const auto& [name, value] : (*known)->smallest_that_matters) {
    if (was_typed(name, typed)) continue;
    options.smallest_that_matters[name] = value;
    matters.push_back({name, value, MattersFrom::client_file});
  }
  return matters;
}

std::string say_matters(const std::vector<Matters>& matters) {
  if (matters.empty()) {
    return "No smallest difference that matters is named, so nothing can be called unchanged: name "
           "one by --matters or in the client's file.";
  }
  const std::string typed = list_of(matters, MattersFrom::command_line);
  const std::string kept = list_of(matters, MattersFrom::client_file);
  std::string text = "Smallest difference that matters: ";
  if (!typed.empty()) text += typed + " (--matters)";
  if (!kept.empty()) text += (typed.empty() ? "" : "; ") + kept + " (the client's file)";
  return text + ".";
}

nlohmann::ordered_json matters_json(const std::vector<Matters>& matters) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const Matters& one : matters) {
    const dsp::Unit unit = unit_of(one.measure);
    list.push_back(
        {{"measure", one.measure},
         {"value", one.value * dsp::display_factor(unit)},
         {"unit", dsp::display_unit(unit)},
         {"from", one.from == MattersFrom::command_line ? "command_line" : "client_file"}});
  }
  return list;
}

}  // namespace strapline::cli
