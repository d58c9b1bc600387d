#include <cmath>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/movement.hpp"
#include "strapline/coaching/next_step.hpp"
#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_plan.hpp"

#include "../client_history.hpp"
#include "../clients_folder.hpp"
#include "../command.hpp"
#include "../plan_json.hpp"
#include "../set_cells.hpp"
#include "../set_json.hpp"
#include "../text_table.hpp"
#include "../today.hpp"

namespace strapline::cli {
namespace {

struct Options {
  std::string client, movement, variation, measure = "range", clients, date;
  std::optional<double> load_kg, range_deg, weeks, plate_kg;
  bool json = false;
};

/// What is planned and what it is placed in.
struct Plan {
  coaching::Movement movement;
  std::string client;
  coaching::Envelope envelope;
  std::optional<coaching::PlacedSet> placed;
  std::vector<coaching::LoggedPain> pain;  ///< that stops
  std::optional<double> load_limit_kg;     ///< agreed
};

dsp::Result<void> check(const Options& options) {
  const auto unit = coaching::measure_unit(options.measure);
  if (!unit || *unit != dsp::Unit::radian) {
    return dsp::fail("\"" + options.measure + "\" is no angle that is measured", "--measure",
                     "use range, thigh_depth, knee_flexion, hip_flexion or elbow_flexion");
  }
  if (options.load_kg.has_value() != options.range_deg.has_value()) {
    return dsp::fail("a planned set has a load and a range", options.load_kg ? "--range" : "--load",
                     "give both, or neither to see what is accustomed");
  }
  if (options.load_kg && !(*options.load_kg >= 0.0 && std::isfinite(*options.load_kg))) {
    return dsp::fail("a load is not below 0 kg", "--load", "0 is body weight");
  }
  if (options.plate_kg && !(*options.plate_kg > 0.0)) {
    return dsp::fail("the smallest step of load is above 0 kg", "--plate", "2.5 is usual");
  }
  if (options.weeks && !(*options.weeks > 0.0)) {
    return dsp::fail("the weeks that count are more than 0", "--weeks", "12 is usual");
  }
  return {};
}

coaching::EnvelopeParameters parameters_for(const Options& options,
                                            const coaching::Client& client) {
  coaching::EnvelopeParameters parameters;
  parameters.pain_limit = client.limits.pain;
  if (options.weeks) parameters.window_days = *options.weeks * 7.0;
  if (options.plate_kg) parameters.plate_kg = *options.plate_kg;
  return parameters;
}

dsp::Result<Plan> make_plan(const Options& options) {
  if (const auto sound = check(options); !sound) return tl::make_unexpected(sound.error());
  const auto clients = clients_folder(options.clients);
  const auto client = need_client(clients, options.client);
  if (!client) return tl::make_unexpected(client.error());
  auto movement = coaching::load_movement(options.movement);
  if (!movement) return tl::make_unexpected(movement.error());
  const auto today = as_of(options.date);
  if (!today) return tl::make_unexpected(today.error());
  const auto parameters = parameters_for(options, *client);
  // Older sets, too, so that it can be said that they are there.
  const auto history = read_history(client_files(clients, client->name).logbook, *today,
                                    2.0 * parameters.window_days);
  if (!history) return tl::make_unexpected(history.error());
  std::vector<coaching::HandledSet> handled;
  for (const DatedSet& dated : *history) {
    const auto& said = dated.set.description;
    if (said.movement != movement->name) continue;
    if (!options.variation.empty() && said.variation != options.variation) continue;
    handled.push_back(to_handled(dated, options.measure));
  }
  Plan plan;
  plan.movement = std::move(*movement);
  plan.client = client->name;
  plan.envelope = coaching::make_envelope(handled, *today, parameters);
  plan.pain = coaching::standing_pain(logged_pain(*history), *today, client->limits.pain);
  const auto limit = client->limits.load_kg.find(plan.movement.name);
  if (limit != client->limits.load_kg.end()) plan.load_limit_kg = limit->second;
  if (options.load_kg) {
    const double range = *options.range_deg / dsp::display_factor(dsp::Unit::radian);
    plan.placed = coaching::place_set(plan.envelope, {*options.load_kg, range});
  }
  return plan;
}

std::string loads_cell(const std::optional<coaching::Handled>& handled) {
  if (!handled) return "–";
  const std::string load = load_cell(handled->load_kg);
  if (handled->load_kg - handled->counts_as_kg < 0.05) return load;
  return fmt::format("{}, counts as {:.1f} kg", load, handled->counts_as_kg);
}

std::string bins_table(const Plan& plan) {
  TextTable table;
  table.add_column("range\nfrom", TextTable::Align::right);
  for (const char* head : {"accustomed", "heaviest", "on"}) {
    table.add_column(head, TextTable::Align::left);
  }
  for (const char* head : {"days", "sets", "reps"}) table.add_column(head, TextTable::Align::right);
  for (const coaching::EnvelopeBin& bin : plan.envelope.bins) {
    table.add_row({fmt::format("{:.0f}°", bin.from * dsp::display_factor(dsp::Unit::radian)),
                   loads_cell(bin.accustomed), loads_cell(bin.heaviest),
                   coaching::date_from_days(bin.heaviest->day), std::to_string(bin.days),
                   std::to_string(bin.sets), std::to_string(bin.reps)});
  }
  return table.text(kTextWidth);
}

std::string placed_text(const Plan& plan) {
  if (!plan.placed) return {};
  std::string text = "\n" + paragraph("Planned: ", coaching::say_placed(*plan.placed), kTextWidth);
  const std::string way = coaching::say_way(*plan.placed, plan.envelope.parameters);
  if (!way.empty()) text += "\n" + paragraph("", way, kTextWidth);
  int number = 0;
  for (const coaching::PlanStep& step : plan.placed->steps) {
    text += paragraph(fmt::format("{:>4}. ", ++number), coaching::say_step(step), kTextWidth);
  }
  return text;
}

/// What goes before every placing: pain that stops, and the agreed load.
std::string first_of_all(const Plan& plan) {
  std::string text;
  for (const coaching::LoggedPain& logged : plan.pain) {
    const std::string words = fmt::format(
        "pain {:g}/10 was logged on {} ({}). Plan nothing before it is looked at; see a "
        "licensed professional.",
        logged.pain, coaching::date_from_days(logged.day),
        logged.place.empty() ? logged.movement : logged.place);
    text += paragraph("Stop: ", words, kTextWidth) + "\n";
  }
  if (!plan.load_limit_kg) return text;
  const bool above = plan.placed && plan.placed->planned.load_kg > *plan.load_limit_kg;
  return text +
         paragraph("Agreed: ",
                   fmt::format("{} at most{}.", coaching::format_load(plan.load_limit_kg),
                               above ? ", and the planned set is above it" : ""),
                   kTextWidth) +
         "\n";
}

std::string plan_text(const Plan& plan, const Options& options) {
  const std::string variation = options.variation.empty() ? "" : ", " + options.variation;
  std::string text = fmt::format("{}{} – {}: accustomed on {}\n\n", plan.movement.title, variation,
                                 plan.client, coaching::date_from_days(plan.envelope.today));
  text += first_of_all(plan);
  text += plan.envelope.bins.empty() ? std::string("No set that counts.\n") : bins_table(plan);
  text += "\n" + paragraph("", coaching::say_how_loads_count(plan.envelope.parameters), kTextWidth);
  for (const std::string& gap : coaching::say_gaps(plan.envelope)) {
    text += paragraph("  - ", gap, kTextWidth);
  }
  text += placed_text(plan) + "\nCautions:\n";
  for (const std::string& caution : plan.movement.cautions) {
    text += paragraph("  - ", caution, kTextWidth);
  }
  return text;
}

void plan(const Options& options, Run& run) {
  const auto plan = make_plan(options);
  if (!plan) return run.fail(plan.error());
  if (!options.json) {
    run.console.out << plan_text(*plan, options);
    return;
  }
  auto json = plan_json(plan->envelope, plan->placed);
  json["stopped_by_pain"] = !plan->pain.empty();
  json["load_limit_kg"] =
      plan->load_limit_kg ? nlohmann::ordered_json(*plan->load_limit_kg) : nlohmann::ordered_json();
  json["client"] = plan->client;
  json["movement"] = plan->movement.name;
  json["measure"] = options.measure;
  run.console.out << json_text(json);
}

}  // namespace

void add_plan(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "plan", "Show what a client is accustomed to, and where a planned set lies in it");
  const auto options = std::make_shared<Options>();
  command->add_option("client", options->client, "Role or name")->required()->type_name("NAME");
  command->add_option("--movement", options->movement, "Movement")
      ->required()
      ->type_name("NAME|FILE.toml");
  command->add_option("--load", options->load_kg, "Planned load, kg; 0 is body weight")
      ->type_name("KG");
  command->add_option("--range", options->range_deg, "Planned range of a rep, degrees")
      ->type_name("DEG");
  command
      ->add_option("--measure", options->measure,
                   "Which angle is the range [range: the movement's own, top minus bottom]")
      ->type_name("NAME");
  command->add_option("--variation", options->variation, "Only sets of this variation [all]")
      ->type_name("TEXT");
  command->add_option("--weeks", options->weeks, "How many weeks back sets count [12]")
      ->type_name("N");
  command->add_option("--plate", options->plate_kg, "Smallest step of load, kg [2.5]")
      ->type_name("KG");
  add_date_option(*command, options->date);
  add_clients_option(*command, options->clients);
  command->add_flag("--json", options->json, "Print JSON");
  command->callback([options, &run] { plan(*options, run); });
}

}  // namespace strapline::cli
