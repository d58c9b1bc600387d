#include "strapline/coaching/ladder.hpp"

#include <algorithm>

#include "definition_file.hpp"
#include "embedded_ladders.hpp"
#include "ladder_reader.hpp"

namespace strapline::coaching {
namespace {

bool has_load(const LadderStep& step, const LoadedWith& with) {
  if (!step.loads) return true;
  const auto load = load_on(step.loads->scale, with);
  if (!load) return false;
  const Band& band = step.loads->load;
  return *load >= band.low.value_or(*load) && *load <= band.high.value_or(*load);
}

}  // namespace

std::vector<std::string> built_in_ladders() { return built_in_names(ladders::file_names()); }

std::string_view built_in_ladder_text(const std::string& name) {
  return ladders::text(name + ".toml");
}

dsp::Result<Ladder> parse_ladder(std::string_view toml, std::string_view where) {
  Ladder ladder;
  const auto read = read_toml(toml, where, [&](TableReader& root) { read_ladder(root, ladder); });
  if (!read) return tl::make_unexpected(read.error());
  return ladder;
}

dsp::Result<Ladder> load_ladder(const std::string& name_or_path) {
  const auto text = definition_text({"ladder", ladders::file_names(), ladders::text}, name_or_path);
  if (!text) return tl::make_unexpected(text.error());
  return parse_ladder(text->toml, text->where);
}

std::optional<std::size_t> find_step(const Ladder& ladder, const std::string& name) {
  const auto found = std::find_if(ladder.steps.begin(), ladder.steps.end(),
                                  [&](const LadderStep& step) { return step.name == name; });
  if (found == ladder.steps.end()) return std::nullopt;
  return static_cast<std::size_t>(found - ladder.steps.begin());
}

std::optional<std::size_t> step_of(const Ladder& ladder, const SetKind& set) {
  const auto fits = [&](const LadderStep& step) {
    return step.movement == set.movement && step.variation == set.variation &&
           has_load(step, set.with);
  };
  const auto found = std::find_if(ladder.steps.begin(), ladder.steps.end(), fits);
  if (found == ladder.steps.end()) return std::nullopt;
  return static_cast<std::size_t>(found - ladder.steps.begin());
}

std::optional<double> kilograms(const ScaledLoad& load, std::optional<double> body_mass_kg) {
  if (load.scale == LoadScale::kg) return load.load;
  if (!body_mass_kg) return std::nullopt;
  return load.load * *body_mass_kg;
}

}  // namespace strapline::coaching
