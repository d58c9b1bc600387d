#pragma once

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "reference_row.hpp"

namespace strapline::cli::reference {

/// Every comparison with published recordings that the folder allows; the others say "skipped".
[[nodiscard]] std::vector<ReferenceRow> published_rows(const std::string& folder);

[[nodiscard]] std::string published_table(const std::vector<ReferenceRow>& rows);
[[nodiscard]] nlohmann::json as_json(const ReferenceRow& row);

}  // namespace strapline::cli::reference
