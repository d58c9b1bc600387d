#include "client_listing.hpp"

#include <fmt/format.h>

#include "strapline/coaching/body_lengths.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_judgement.hpp"

#include "judgement_json.hpp"
#include "set_json.hpp"
#include "text_table.hpp"

namespace strapline::cli {
namespace {

using coaching::Client;
using nlohmann::ordered_json;

dsp::Unit unit_of(const std::string& measure) {
  return coaching::measure_unit(measure).value_or(dsp::Unit::one);
}

std::string line(const std::string& label, const std::string& text) {
  return text.empty() ? "" : paragraph(fmt::format("{:<16}", label), text, kTextWidth);
}

std::string joined(const std::vector<std::string>& parts) {
  return fmt::format("{}", fmt::join(parts, ", "));
}

std::string body_words(const Client& client) {
  std::vector<std::string> parts;
  for (const auto& [name, length] : coaching::kBodyLengths) {
    if (const auto value = client.body.*length)
      parts.push_back(fmt::format("{} {} m", name, *value));
  }
  if (client.body_mass_kg) parts.push_back(fmt::format("mass {} kg", *client.body_mass_kg));
  return parts.empty() ? "not given" : joined(parts);
}

std::string limit_words(const Client& client) {
  std::vector<std::string> parts{client.limits.pain == 0.0
                                     ? "any pain stops"
                                     : fmt::format("pain above {} stops", client.limits.pain)};
  for (const auto& [movement, kg] : client.limits.load_kg) {
    parts.push_back(fmt::format("{} up to {}", movement, coaching::format_load(kg)));
  }
  for (const auto& [measure, band] : client.limits.range) {
    parts.push_back(coaching::measure_title(measure) + " " +
                    coaching::say_edges(band, unit_of(measure)));
  }
  return joined(parts);
}

std::string matter_words(const Client& client) {
  std::vector<std::string> parts;
  for (const auto& [measure, si] : client.smallest_that_matters) {
    parts.push_back(coaching::measure_title(measure) + " from " +
                    coaching::format_value(si, unit_of(measure)));
  }
  return joined(parts);
}

std::string ladder_words(const Client& client) {
  std::vector<std::string> parts;
  for (const auto& [ladder, step] : client.ladder_steps) parts.push_back(ladder + ": " + step);
  return joined(parts);
}

ordered_json number(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json();
}

ordered_json limits_json(const Client& client) {
  ordered_json json = {{"pain", client.limits.pain}, {"load_kg", client.limits.load_kg}};
  json["range"] = ordered_json::object();
  for (const auto& [measure, band] : client.limits.range) {
    json["range"][measure] = band_json(band, unit_of(measure));
  }
  return json;
}

ordered_json as_json(const Client& client) {
  ordered_json json = {{"name", client.name}, {"kit", client.kit}, {"notes", client.notes}};
  json["body"] = ordered_json::object();
  for (const auto& [name, length] : coaching::kBodyLengths)
    json["body"][name] = number(client.body.*length);
  json["body"]["mass_kg"] = number(client.body_mass_kg);
  json["limits"] = limits_json(client);
  json["matters"] = ordered_json::object();
  for (const auto& [measure, si] : client.smallest_that_matters) {
    json["matters"][measure] = si * dsp::display_factor(unit_of(measure));
  }
  json["ladder"] = client.ladder_steps;
  json["aims"] = client.aims;
  return json;
}

}  // namespace

std::string client_details(const Client& client, const ClientFiles& files) {
  std::string text = client.name + "\n";
  text += line("body", body_words(client));
  text += line("kit", client.kit);
  text += line("limits", limit_words(client));
  text += line("matters", matter_words(client));
  text += line("ladders", ladder_words(client));
  text += line("active aims", client.aims.empty() ? "none" : joined(client.aims));
  text += line("notes", client.notes);
  return text + line("kept in", files.folder.string());
}

std::string client_json(const Client& client, const ClientFiles& files) {
  ordered_json json = as_json(client);
  json["folder"] = files.folder.string();
  json["logbook"] = files.logbook.string();
  return json_text(json);
}

std::string clients_table(const std::vector<Client>& clients, const std::filesystem::path& folder) {
  if (clients.empty()) {
    return fmt::format("No client in {} yet; strapline client add NAME sets one up.\n",
                       folder.string());
  }
  TextTable table;
  for (const char* head : {"client", "active aims", "ladders", "kit"}) {
    table.add_column(head, TextTable::Align::left);
  }
  for (const Client& client : clients) {
    table.add_row({client.name, client.aims.empty() ? "–" : joined(client.aims),
                   client.ladder_steps.empty() ? "–" : ladder_words(client),
                   client.kit.empty() ? "–" : client.kit});
  }
  return table.text(kTextWidth);
}

std::string clients_json(const std::vector<Client>& clients) {
  ordered_json list = ordered_json::array();
  for (const Client& client : clients) list.push_back(as_json(client));
  return json_text({{"clients", list}});
}

}  // namespace strapline::cli
