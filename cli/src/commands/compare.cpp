#include <algorithm>
#include <charconv>
#include <filesystem>
#include <functional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/pages/compare_page.hpp"
#include "strapline/recordings/file_kind.hpp"

#include "../client_matters.hpp"
#include "../clients_folder.hpp"
#include "../command.hpp"
#include "../compare_json.hpp"
#include "../compare_table.hpp"
#include "../loaded_sets.hpp"
#include "../text_file.hpp"
#include "../text_table.hpp"
#include "../within_set_table.hpp"

namespace strapline::cli {
namespace {

struct Options {
  std::vector<std::string> files, measures, matters;
  std::string movement, until, page, clients;
  bool json = false, no_page = false;

  /// Beside the first file; "" where no page is wanted. A logbook's page has its name, so that the
  /// page of a recording's review is not taken for it.
  [[nodiscard]] std::filesystem::path page_file() const {
    if (!page.empty()) return page;
    if (json || no_page) return {};
    const std::filesystem::path first(files.front());
    const auto kind = recordings::file_kind(first);
    const bool logbook = kind && *kind == recordings::FileKind::logbook;
    return first.parent_path() / (first.stem().string() + (logbook ? ".html" : "-compared.html"));
  }
};

using Sets = std::vector<coaching::ComparedSet>;

dsp::Result<void> check_measure(const std::string& option, const std::string& name) {
  if (coaching::parse_measure_name(name)) return {};
  std::string known;
  for (const auto& measure : coaching::all_measures()) {
    known += (known.empty() ? "" : ", ") + std::string(measure.name);
  }
  return dsp::fail("unknown measure \"" + name + "\"", option, "use one of " + known);
}

/// True for the full name, or for the base name of all its statistics and sides.
bool is_called(const std::string& full, const std::string& name) {
  const auto parsed = coaching::parse_measure_name(full);
  return full == name || (parsed && parsed->base == name);
}

/// The unit that the sets measured it in; empty where none did.
std::optional<dsp::Unit> unit_of(const Sets& sets, const std::string& name) {
  for (const auto& set : sets) {
    for (const auto& [full, summary] : set.measures) {
      if (is_called(full, name)) return summary.unit;
    }
  }
  return std::nullopt;
}

/// "NAME=VALUE" in what people read, to SI.
dsp::Result<void> take_matters(const std::string& text, const Sets& sets,
                               coaching::CompareOptions& options) {
  const std::size_t sign = text.find('=');
  double value = 0.0;
  const char* end = text.data() + text.size();
  if (sign != std::string::npos) {
    const auto read = std::from_chars(text.data() + sign + 1, end, value);
    if (read.ec != std::errc() || read.ptr != end) value = 0.0;
  }
  if (!(value > 0.0)) {
    return dsp::fail("\"" + text + "\" is not NAME=VALUE with a value above 0", "--matters",
                     "write it as knee_flexion=5");
  }
  const std::string name = text.substr(0, sign);
  if (const auto known = check_measure("--matters", name); !known) return known;
  const auto unit = unit_of(sets, name);
  if (!unit) {
    return dsp::fail("no set measures " + name, "--matters", "name a measure that the sets have");
  }
  options.smallest_that_matters[name] = value / dsp::display_factor(*unit);
  return {};
}

/// True of what did not come after the time; a date alone means the whole day.
dsp::Result<std::function<bool(const recordings::LoggedSet&)>> not_after(const std::string& until) {
  if (until.empty()) return {};
  const auto day = coaching::days_from_utc(until);
  if (!day) return dsp::fail(day.error().what, "--until", day.error().todo);
  const bool date_alone = until.find('T') == std::string::npos;
  const double last = date_alone ? *day + 1.0 : *day;
  return [date_alone, last](const recordings::LoggedSet& set) {
    const auto of_set = coaching::days_from_utc(set.description.started_utc);
    return !of_set || (date_alone ? *of_set < last : *of_set <= last);
  };
}

/// The coach's movement, or the latest set's; one that is known by name only keeps the usual
/// cautions.
dsp::Result<coaching::Movement> movement_of(const coaching::Comparison& comparison,
                                            const std::string& movement) {
  const std::string& name = movement.empty() ? comparison.sets.back().movement : movement;
  auto loaded = coaching::load_movement(name);
  if (loaded || !movement.empty()) return loaded;
  loaded = coaching::load_movement("free");
  if (!loaded) return loaded;
  loaded->name = loaded->title = name;
  return loaded;
}

/// What was compared, and with what in mind.
struct Compared {
  coaching::Comparison comparison;
  coaching::WithinSet within;  ///< the latest set
  std::vector<Matters> matters;
};

/// The reps of the comparison's latest set against each other.
coaching::WithinSet within_latest(const std::vector<recordings::LoggedSet>& loaded,
                                  const coaching::Comparison& comparison,
                                  const coaching::CompareOptions& options) {
  const coaching::ComparedSet& latest = comparison.sets.back();
  std::vector<dsp::MeasureMap> full_reps;
  for (const auto& set : loaded) {
    if (set.file != latest.name || set.description.started_utc != latest.started_utc) continue;
    for (const dsp::Rep& rep : set.reps) {
      if (!rep.part) full_reps.push_back(rep.measures);
    }
    break;
  }
  return coaching::compare_within_set(full_reps, options);
}

/// Leaves only what was asked for.
void keep_measures(const std::vector<std::string>& measures, Compared& compared) {
  if (measures.empty()) return;
  const auto unwanted = [&](const auto& of) {
    return std::none_of(measures.begin(), measures.end(),
                        [&](const std::string& name) { return is_called(of.measure, name); });
  };
  std::erase_if(compared.comparison.findings, unwanted);
  std::erase_if(compared.comparison.missing, unwanted);
  std::erase_if(compared.within.thirds, unwanted);
  std::erase_if(compared.within.sides, unwanted);
}

dsp::Result<Compared> compare_files(const Options& options) {
  for (const std::string& name : options.measures) {
    const auto known = check_measure("--measure", name);
    if (!known) return tl::make_unexpected(known.error());
  }
  const auto wanted = not_after(options.until);
  if (!wanted) return tl::make_unexpected(wanted.error());
  const auto loaded = load_sets(options.files, options.movement, *wanted);
  if (!loaded) return tl::make_unexpected(loaded.error());
  Sets sets;
  for (const auto& set : *loaded) sets.push_back(to_compared(set));
  coaching::CompareOptions compare_options;
  for (const std::string& text : options.matters) {
    const auto taken = take_matters(text, sets, compare_options);
    if (!taken) return tl::make_unexpected(taken.error());
  }
  std::vector<Matters> matters;
  if (!sets.empty()) {
    auto all = add_client_matters(options.clients, sets.back().client, compare_options);
    if (!all) return tl::make_unexpected(all.error());
    matters = std::move(*all);
  }
  auto comparison = coaching::compare_sets(std::move(sets), compare_options);
  if (!comparison) return tl::make_unexpected(comparison.error());
  auto within = within_latest(*loaded, *comparison, compare_options);
  Compared compared{std::move(*comparison), std::move(within), std::move(matters)};
  keep_measures(options.measures, compared);
  return compared;
}

void compare(const Options& options, Run& run) {
  const auto compared = compare_files(options);
  if (!compared) return run.fail(compared.error());
  const coaching::Comparison& comparison = compared->comparison;
  const auto movement = movement_of(comparison, options.movement);
  if (!movement) return run.fail(movement.error());
  if (options.json) {
    run.console.out << compare_json(comparison, *movement,
                                    {{"matters", matters_json(compared->matters)},
                                     {"within_latest", within_set_json(compared->within)}});
  } else {
    run.console.out << compare_table(comparison, *movement) << '\n'
                    << paragraph("", say_matters(compared->matters), kTextWidth)
                    << within_set_table(compared->within, "Within the latest set:");
  }
  const std::filesystem::path page = options.page_file();
  if (page.empty()) return;
  const auto written = write_page(page, pages::compare_page({comparison, *movement}));
  if (!written) return run.fail(written.error());
  if (!options.json) run.console.out << "\npage: " << page.string() << '\n';
}

}  // namespace

void add_compare(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "compare", "Say what changed between a client's sets by more than the measurement noise");
  const auto options = std::make_shared<Options>();
  command->add_option("files", options->files, "A logbook, or recordings, or both")
      ->required()
      ->type_name("FILE.h5");
  command
      ->add_option("--measure", options->measures,
                   "Only this measure, e.g. knee_flexion; repeatable")
      ->take_all()
      ->type_name("NAME");
  command
      ->add_option(
          "--matters", options->matters,
          "Smallest difference that matters, in degrees, cm or s: knee_flexion=5; repeatable; goes "
          "before the client's file")
      ->take_all()
      ->type_name("NAME=VALUE");
  command
      ->add_option("--movement", options->movement,
                   "Only this movement; recordings are analysed as it")
      ->type_name("NAME|FILE.toml");
  command->add_option("--until", options->until, "Only sets up to this date")->type_name("DATE");
  add_clients_option(*command, options->clients);
  command->add_flag("--json", options->json, "Print one JSON object, and write no page");
  auto* page =
      command->add_option("--page", options->page, "Where the page goes [beside the first file]")
          ->type_name("OUT.html");
  command->add_flag("--no-page", options->no_page, "Write no page")->excludes(page);
  command->callback([options, &run] { compare(*options, run); });
}

}  // namespace strapline::cli
