#include "client_aims.hpp"

#include <algorithm>
#include <system_error>

#include <fmt/format.h>

#include "own_definition.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;
using Aims = std::vector<coaching::Aim>;

constexpr const char* kSuffix = ".toml";

/// The only aim that `is_wanted`; empty where there is none or more than one.
template <class IsWanted>
std::optional<coaching::Aim> only(const Aims& aims, IsWanted is_wanted) {
  const auto count = std::count_if(aims.begin(), aims.end(), is_wanted);
  if (count != 1) return std::nullopt;
  return *std::find_if(aims.begin(), aims.end(), is_wanted);
}

std::string names_of(const Aims& aims) {
  std::string names;
  for (const coaching::Aim& aim : aims) names += (names.empty() ? "" : ", ") + aim.name;
  return names;
}

ActiveAim choose(const Aims& aims, const std::string& client, const std::string& movement,
                 const std::string& variation) {
  if (aims.empty()) {
    return {std::nullopt,
            fmt::format("{} has no active aim for {}; strapline aim use sets one, --aim names one.",
                        client, movement)};
  }
  if (auto aim = only(aims, [&](const auto& a) { return a.variation == variation; })) {
    return {std::move(aim), {}};
  }
  if (auto aim = only(aims, [](const auto& a) { return a.variation.empty(); })) {
    return {std::move(aim), {}};
  }
  if (aims.size() == 1) return {aims.front(), {}};
  return {std::nullopt, fmt::format("{} has several active aims for {} ({}); name one with --aim.",
                                    client, movement, names_of(aims))};
}

}  // namespace

std::vector<std::string> own_aims(const fs::path& own) {
  std::vector<std::string> names;
  std::error_code error;
  for (fs::directory_iterator entry(own, error), end; !error && entry != end;
       entry.increment(error)) {
    if (entry->path().extension() == kSuffix) names.push_back(entry->path().stem().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

dsp::Result<coaching::Aim> find_aim(const std::string& name_or_path, const fs::path& own) {
  const std::string where = own_or_given(name_or_path, own);
  auto aim = coaching::load_aim(where);
  if (aim && where != name_or_path && aim->name != name_or_path) {
    return dsp::fail("the aim calls itself '" + aim->name + "'", where,
                     "give the file and its 'name' the same name");
  }
  return aim;
}

dsp::Result<ActiveAim> active_aim(const coaching::Client& client, const fs::path& own,
                                  const std::string& movement, const std::string& variation) {
  Aims aims;
  for (const std::string& name : client.aims) {
    auto aim = find_aim(name, own);
    if (!aim) {
      dsp::Failure failure = aim.error();
      if (failure.where.empty()) failure.where = "active aim of " + client.name;
      return tl::make_unexpected(failure);
    }
    if (aim->movement == movement) aims.push_back(std::move(*aim));
  }
  return choose(aims, client.name, movement, variation);
}

}  // namespace strapline::cli
