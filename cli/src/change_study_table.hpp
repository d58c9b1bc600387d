#pragma once

#include <string>

#include <nlohmann/json_fwd.hpp>

#include "strapline/cli/change_study.hpp"

namespace strapline::cli {

/// The rows, how to read them, and the two bounds that they are held against.
[[nodiscard]] std::string change_study_table(const ChangeStudy& study);

[[nodiscard]] nlohmann::ordered_json change_study_json(const ChangeStudy& study);

}  // namespace strapline::cli
