#include <fmt/format.h>

#include "strapline/coaching/variation.hpp"
#include "strapline/pages/review_page.hpp"
#include "strapline/recordings/logbook.hpp"
#include "strapline/recordings/results.hpp"

#include "../clients_folder.hpp"
#include "../command.hpp"
#include "../review_json.hpp"
#include "../review_table.hpp"
#include "../text_file.hpp"

namespace strapline::cli {
namespace {

struct Options {
  std::string file, movement, page, logbook, aim, client, clients;
  bool json = false, no_page = false, save = false;

  /// "" where no page is wanted.
  [[nodiscard]] std::filesystem::path page_file() const {
    if (!page.empty()) return page;
    if (json || no_page) return {};
    return std::filesystem::path(file).replace_extension(".html");
  }
};

/// A set with all that is said about it.
struct Review {
  ReviewedSet set;
  JudgedReview judged;
};

void write_page_of(const Review& review, const std::filesystem::path& page, bool quiet, Run& run) {
  const ReviewedSet& set = review.set;
  const auto written = write_page(
      page,
      pages::review_page({set.analysis, set.recording.description, set.movement,
                          set.file.filename().string(), review.judged.aim, review.judged.no_aim,
                          review.judged.cautions, review.judged.limits.pain,
                          coaching::say_variation(review.judged.variation)}));
  if (!written) return run.fail(written.error());
  if (!quiet) run.console.out << "page: " << page.string() << '\n';
}

void save_results(const ReviewedSet& set, bool quiet, Run& run) {
  const auto written = recordings::write_results(set.file, set.analysis);
  if (!written) return run.fail(written.error());
  if (!quiet) run.console.out << "results stored in " << set.file.string() << '\n';
}

void log_set(const ReviewedSet& set, const std::string& logbook, bool quiet, Run& run) {
  const auto entry = recordings::make_logged_set(set.recording, set.file, set.analysis);
  const auto added = recordings::append_to_logbook(logbook, entry);
  if (!added) return run.fail(added.error());
  if (quiet) return;
  const bool is_new = *added == recordings::Added::yes;
  run.console.out << (is_new ? "added to " : "already in ") << logbook << '\n';
}

/// The logbook that the set goes to: --logbook, else that of the client named; "" for none. Fails
/// where the client named is not the recording's, or not set up.
dsp::Result<std::string> logbook_of(const Options& options, const ReviewedSet& set) {
  if (options.client.empty() || !options.logbook.empty()) return options.logbook;
  const auto clients = clients_folder(options.clients);
  const auto client = need_client(clients, options.client);
  if (!client) return tl::make_unexpected(client.error());
  const std::string& recorded = set.recording.description.client;
  if (recorded != client->name) {
    return dsp::fail("the recording is of '" + recorded + "', not of '" + client->name + "'",
                     set.file.string(), "name its own client");
  }
  return client_files(clients, client->name).logbook.string();
}

dsp::Result<Review> make_review(const Options& options) {
  const auto clients = clients_folder(options.clients);
  auto set = review_file(options.file, options.movement, clients);
  if (!set) return tl::make_unexpected(set.error());
  auto judged = judge_review(*set, options.aim, clients);
  if (!judged) return tl::make_unexpected(judged.error());
  return Review{std::move(*set), std::move(*judged)};
}

void review(const Options& options, Run& run) {
  const auto made = make_review(options);
  if (!made) return run.fail(made.error());
  const auto& [set, judged] = *made;
  const auto logbook = logbook_of(options, set);
  if (!logbook) return run.fail(logbook.error());
  run.console.out << (options.json ? review_json(set, judged) : review_table(set, judged));
  for (const dsp::Failure& fault : judged.faults) run.fail(fault);
  const std::filesystem::path page = options.page_file();
  const bool writes = !page.empty() || options.save || !logbook->empty();
  if (!options.json && writes) run.console.out << '\n';
  if (options.save) save_results(set, options.json, run);
  if (!logbook->empty()) log_set(set, *logbook, options.json, run);
  if (!page.empty()) write_page_of(*made, page, options.json, run);
}

}  // namespace

void add_review(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand("review", "Measure a recorded set rep by rep");
  const auto options = std::make_shared<Options>();
  command->add_option("file", options->file, "Recording")->required()->type_name("FILE.h5");
  command
      ->add_option("--movement", options->movement,
                   "Analyse as this movement: a name, or a file that describes it")
      ->type_name("NAME|FILE.toml");
  command->add_flag("--json", options->json, "Print one JSON object, and write no page");
  auto* page = command->add_option("--page", options->page, "Where the page goes [FILE.html]")
                   ->type_name("OUT.html");
  command->add_flag("--no-page", options->no_page, "Write no page")->excludes(page);
  command->add_flag("--save", options->save, "Store the results in the recording");
  command->add_option("--logbook", options->logbook, "Add the set to the client's logbook")
      ->type_name("LOGBOOK.h5");
  command
      ->add_option("--aim", options->aim,
                   "Judge against this aim [the client's active aim for the movement]")
      ->type_name("NAME|FILE.toml");
  command
      ->add_option("--client", options->client,
                   "Add the set to the logbook of this client, who is set up")
      ->type_name("NAME");
  add_clients_option(*command, options->clients);
  command->callback([options, &run] { review(*options, run); });
}

}  // namespace strapline::cli
