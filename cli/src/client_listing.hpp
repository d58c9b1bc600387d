#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "strapline/coaching/client.hpp"

#include "clients_folder.hpp"

namespace strapline::cli {

/// What is known of one client, and where it is kept: for people, and as one JSON object.
[[nodiscard]] std::string client_details(const coaching::Client& client, const ClientFiles& files);
[[nodiscard]] std::string client_json(const coaching::Client& client, const ClientFiles& files);

/// One row per client; says where it looked when there is none.
[[nodiscard]] std::string clients_table(const std::vector<coaching::Client>& clients,
                                        const std::filesystem::path& folder);
[[nodiscard]] std::string clients_json(const std::vector<coaching::Client>& clients);

}  // namespace strapline::cli
