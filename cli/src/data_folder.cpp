#include "data_folder.hpp"

#include <cstdlib>

namespace strapline::cli {
namespace {

std::string value_of(const std::string& variable) {
  const char* value = std::getenv(variable.c_str());
  return value == nullptr ? std::string() : value;
}

}  // namespace

std::filesystem::path data_folder(const std::string& given, const std::string& variable,
                                  const std::string& name) {
  if (!given.empty()) return given;
  if (const auto own = value_of(variable); !own.empty()) return own;
  const std::filesystem::path ours = std::filesystem::path("strapline") / name;
  if (const auto data = value_of("XDG_DATA_HOME"); !data.empty()) return data / ours;
  return std::filesystem::path(value_of("HOME")) / ".local/share" / ours;
}

}  // namespace strapline::cli
