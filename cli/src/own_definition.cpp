#include "own_definition.hpp"

#include <system_error>

namespace strapline::cli {

std::string own_or_given(const std::string& name_or_path, const std::filesystem::path& own) {
  constexpr const char* kSuffix = ".toml";
  if (own.empty() || name_or_path.ends_with(kSuffix)) return name_or_path;
  const std::filesystem::path file = own / (name_or_path + kSuffix);
  std::error_code error;
  return std::filesystem::exists(file, error) ? file.string() : name_or_path;
}

}  // namespace strapline::cli
