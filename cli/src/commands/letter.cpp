#include "strapline/coaching/letter.hpp"

#include <cmath>
#include <map>
#include <system_error>

#include <fmt/format.h>

#include "strapline/coaching/movement.hpp"

#include "../client_aims.hpp"
#include "../client_cautions.hpp"
#include "../command.hpp"
#include "../loaded_sets.hpp"
#include "../standing.hpp"
#include "../text_file.hpp"
#include "../today.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

struct Options {
  std::string client, ladder, clients, date, phrases, output;
  coaching::LetterFormat format = coaching::LetterFormat::text;
  bool evidence = false, print_phrases = false, overwrite = false;
};

/// What the letter is about: a step of a ladder, or the latest set and its active aim.
struct Subject {
  std::optional<Standing> standing;
  std::optional<coaching::Aim> aim;
  std::vector<DatedSet> session;
  std::string movement;
};

dsp::Result<coaching::Phrases> phrases_for(const Options& options) {
  if (options.phrases.empty()) return coaching::english_phrases();
  const auto text = read_text(options.phrases);
  if (!text) return tl::make_unexpected(text.error());
  return coaching::parse_phrases(*text, options.phrases);
}

/// The ladder named, else the one that the latest set belongs to, else the only one.
dsp::Result<std::string> ladder_for(const Options& options, const StandingInput& input) {
  if (!options.ladder.empty()) return options.ladder;
  const auto& steps = input.client.ladder_steps;
  if (steps.size() == 1) return steps.begin()->first;
  std::string latest;
  double day = 0.0;
  for (const auto& [name, step] : steps) {
    const auto standing = decide_standing(input, name);
    if (!standing) return tl::make_unexpected(standing.error());
    if (standing->session.empty() || standing->session.back().day <= day) continue;
    day = standing->session.back().day;
    latest = name;
  }
  return latest;
}

dsp::Result<Subject> subject_of_latest_set(const StandingInput& input) {
  if (input.history.empty()) {
    return dsp::fail("no set of " + input.client.name + " is in the logbook up to then",
                     input.files.logbook.string(),
                     "add sets with strapline review FILE.h5 --client NAME");
  }
  Subject subject;
  const auto& last = input.history.back();
  subject.movement = last.set.description.movement;
  for (const DatedSet& dated : input.history) {
    const bool same_day = std::floor(dated.day) == std::floor(last.day);
    if (same_day && dated.set.description.movement == subject.movement) {
      subject.session.push_back(dated);
    }
  }
  auto active =
      active_aim(input.client, input.files.aims, subject.movement, last.set.description.variation);
  if (!active) return tl::make_unexpected(active.error());
  subject.aim = std::move(active->aim);
  return subject;
}

dsp::Result<Subject> subject_for(const Options& options, const StandingInput& input) {
  const auto ladder = ladder_for(options, input);
  if (!ladder) return tl::make_unexpected(ladder.error());
  if (ladder->empty()) return subject_of_latest_set(input);
  auto standing = decide_standing(input, *ladder);
  if (!standing) return tl::make_unexpected(standing.error());
  Subject subject;
  subject.aim = standing->aim;
  subject.session = standing->session;
  subject.movement = standing->ladder.steps[standing->next.step].movement;
  // Nothing done on this step yet: what was done last is told, and how to begin.
  if (subject.session.empty() && !input.history.empty()) {
    auto latest = subject_of_latest_set(input);
    if (!latest) return latest;
    subject = std::move(*latest);
  }
  subject.standing = std::move(*standing);
  return subject;
}

coaching::LetterSet to_letter_set(const DatedSet& dated, const Subject& subject,
                                  const StandingInput& input) {
  const auto& said = dated.set.description;
  coaching::LetterSet set;
  set.name = dated.set.file;
  set.load_kg = said.load_kg;
  set.effort_rpe = said.effort_rpe;
  set.reps_in_reserve = said.reps_in_reserve;
  set.pain = said.pain;
  set.pain_place = said.pain_place;
  set.full_reps = dated.set.full_reps;
  set.part_reps = dated.set.part_reps;
  if (subject.aim) set.judgement = judge_dated(dated, *subject.aim, input.client);
  set.cautions = cautions_of(dated, input.history, input.client.limits);
  return set;
}

/// The session's last set with the sets before it; empty where it cannot be compared.
std::optional<coaching::Comparison> comparison_for(const Subject& subject,
                                                   const StandingInput& input) {
  if (subject.session.empty()) return std::nullopt;
  std::vector<coaching::ComparedSet> sets;
  for (const DatedSet& dated : input.history) {
    const bool before = dated.day <= subject.session.back().day;
    if (before && dated.set.description.movement == subject.movement) {
      sets.push_back(to_compared(dated.set));
    }
  }
  coaching::CompareOptions options;
  options.smallest_that_matters = input.client.smallest_that_matters;
  auto comparison = coaching::compare_sets(std::move(sets), options);
  if (!comparison) return std::nullopt;
  return std::move(*comparison);
}

dsp::Result<coaching::LetterInput> letter_input(const Subject& subject,
                                                const StandingInput& input) {
  const auto movement = coaching::load_movement(subject.movement);
  if (!movement) return tl::make_unexpected(movement.error());
  coaching::LetterInput letter;
  letter.client = input.client.name;
  letter.day = subject.session.empty() ? input.today : subject.session.back().day;
  if (subject.standing) {
    letter.ladder = subject.standing->ladder;
    letter.next = subject.standing->next;
  }
  letter.aim = subject.aim;
  for (const DatedSet& dated : subject.session) {
    letter.session.push_back(to_letter_set(dated, subject, input));
  }
  letter.pain =
      coaching::standing_pain(logged_pain(input.history), input.today, input.client.limits.pain);
  letter.comparison = comparison_for(subject, input);
  letter.movement_cautions = movement->cautions;
  letter.movement = movement->name;
  return letter;
}

dsp::Result<std::string> write_letter(const Options& options) {
  const auto phrases = phrases_for(options);
  if (!phrases) return tl::make_unexpected(phrases.error());
  const fs::path clients = clients_folder(options.clients);
  const auto client = need_client(clients, options.client);
  if (!client) return tl::make_unexpected(client.error());
  const auto today = as_of(options.date);
  if (!today) return tl::make_unexpected(today.error());
  const ClientFiles files = client_files(clients, client->name);
  const auto history = read_history(files.logbook, *today, kStandingDays);
  if (!history) return tl::make_unexpected(history.error());
  const StandingInput input{*client, files, *history, *today};
  const auto subject = subject_for(options, input);
  if (!subject) return tl::make_unexpected(subject.error());
  const auto letter = letter_input(*subject, input);
  if (!letter) return tl::make_unexpected(letter.error());
  return coaching::render_letter(coaching::compose_letter(*letter, *phrases), options.format,
                                 options.evidence, *phrases);
}

void letter(const Options& options, Run& run) {
  if (options.print_phrases) {
    run.console.out << coaching::english_phrases_text();
    return;
  }
  if (options.client.empty()) throw CLI::RequiredError("client");
  const auto text = write_letter(options);
  if (!text) return run.fail(text.error());
  if (options.output.empty()) {
    run.console.out << *text;
    return;
  }
  std::error_code error;
  if (!options.overwrite && fs::exists(options.output, error)) {
    return run.fail("there is a letter already, perhaps an edited one", options.output,
                    "give another name, or --overwrite");
  }
  if (const auto written = write_text(options.output, *text); !written) {
    return run.fail(written.error());
  }
  run.console.out << options.output << ": a draft; read it, change it, then send it\n";
}

}  // namespace

void add_letter(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "letter", "Draft the feedback for a client: what was asked, seen, changed, and what is next");
  const auto options = std::make_shared<Options>();
  command->add_option("client", options->client, "Role or name")->type_name("NAME");
  command
      ->add_option(
          "--ladder", options->ladder,
          "About this ladder [the only one, else the one trained last; on none: the latest set]")
      ->type_name("NAME|FILE.toml");
  const std::map<std::string, coaching::LetterFormat> formats{
      {"text", coaching::LetterFormat::text},
      {"markdown", coaching::LetterFormat::markdown},
      {"html", coaching::LetterFormat::html}};
  command->add_option("--format", options->format, "text, markdown or html [text]")
      ->transform(CLI::CheckedTransformer(formats))
      ->type_name("FORMAT");
  command->add_option("-o,--output", options->output, "Write it here [print it]")->type_name("OUT");
  command->add_flag("--overwrite", options->overwrite, "Replace the file if there is one");
  command->add_flag("--evidence", options->evidence,
                    "Number every sentence's findings, and list them");
  command->add_option("--phrases", options->phrases, "Sentences of one's own, or translated")
      ->type_name("FILE.toml");
  command->add_flag("--print-phrases", options->print_phrases, "Print the built-in sentences");
  add_date_option(*command, options->date);
  add_clients_option(*command, options->clients);
  command->callback([options, &run] { letter(*options, run); });
}

}  // namespace strapline::cli
