#include "aim_listing.hpp"

#include <fmt/format.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording_judgement.hpp"

#include "judgement_json.hpp"
#include "set_json.hpp"
#include "text_table.hpp"

namespace strapline::cli {
namespace {

using coaching::Aim;
using nlohmann::ordered_json;

std::string for_what(const Aim& aim) {
  return aim.variation.empty() ? aim.movement : aim.movement + ", " + aim.variation;
}

std::string_view scale_key(coaching::LoadScale scale) {
  return scale == coaching::LoadScale::kg ? "kg" : "body_mass";
}

ordered_json number(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json();
}

ordered_json band_of(const coaching::AimBand& band) {
  ordered_json one = {{"measure", band.measure}, {"unit", dsp::display_unit(band.unit)}};
  one["at"] = ordered_json::array();
  for (const coaching::BandAtLoad& row : band.at) {
    ordered_json edges = band_json(row.edges, band.unit);
    if (band.depends_on_load()) edges[std::string(scale_key(band.scale))] = row.load;
    one["at"].push_back(std::move(edges));
  }
  one["why"] = band.why;
  one["source"] = band.source;
  return one;
}

ordered_json as_json(const Aim& aim) {
  ordered_json json = {{"name", aim.name},         {"title", aim.title},
                       {"movement", aim.movement}, {"variation", aim.variation},
                       {"purpose", aim.purpose},   {"strictness", aim.strictness}};
  json["load"] = ordered_json();
  if (aim.holds_for) {
    json["load"] = {{"in", scale_key(aim.holds_for->scale)},
                    {"at_least", number(aim.holds_for->load.low)},
                    {"at_most", number(aim.holds_for->load.high)}};
  }
  json["bands"] = ordered_json::array();
  for (const coaching::AimBand& band : aim.bands) json["bands"].push_back(band_of(band));
  return json;
}

}  // namespace

std::string aim_details(const Aim& aim) {
  std::string text = fmt::format("{} ({})\n", aim.title, aim.name);
  text += paragraph("for       ", for_what(aim) + "; " + coaching::say_loads(aim), kTextWidth);
  text += paragraph("purpose   ", aim.purpose, kTextWidth);
  text += fmt::format("asked     {:g} % of the full reps inside\n", aim.strictness * 100.0);
  for (const coaching::AimBand& band : aim.bands) {
    text += "\n" + paragraph("  ",
                             fmt::format("{}: {}", coaching::measure_title(band.measure),
                                         coaching::say_band(band)),
                             kTextWidth);
    text += paragraph("    ", fmt::format("{} ({})", band.why, band.source), kTextWidth);
  }
  return text + "\nWhat is not listed does not matter for this aim.\n";
}

std::string aim_json_text(const Aim& aim) { return json_text(as_json(aim)); }

std::string aims_table(const std::vector<ListedAim>& aims) {
  TextTable table;
  for (const char* head : {"aim", "for", "title", ""})
    table.add_column(head, TextTable::Align::left);
  for (const ListedAim& listed : aims) {
    const std::string own = listed.own ? "own" : "";
    const std::string active = listed.active ? "active" : "";
    table.add_row({listed.aim.name, for_what(listed.aim), listed.aim.title,
                   own + (own.empty() || active.empty() ? "" : ", ") + active});
  }
  return table.text(kTextWidth);
}

std::string aims_json(const std::vector<ListedAim>& aims) {
  ordered_json list = ordered_json::array();
  for (const ListedAim& listed : aims) {
    ordered_json one = as_json(listed.aim);
    one["own"] = listed.own;
    one["active"] = listed.active;
    list.push_back(std::move(one));
  }
  return json_text({{"aims", list}});
}

}  // namespace strapline::cli
