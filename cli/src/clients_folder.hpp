#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/client.hpp"

#include "command.hpp"

namespace strapline::cli {

/// Where clients are kept: `given` where not empty, else $STRAPLINE_CLIENTS, else
/// strapline/clients under $XDG_DATA_HOME or ~/.local/share.
[[nodiscard]] std::filesystem::path clients_folder(const std::string& given = {});

/// Declares --clients DIR for a command; `folder` must outlive it.
void add_clients_option(CLI::App& command, std::string& folder);

/// "Stretcher lead" as "stretcher-lead": small letters and digits, hyphens for what lies between,
/// letters beyond ASCII as they are; "" where nothing is left.
[[nodiscard]] std::string slug(const std::string& name);

/// The files of a client, CLIENTS/SLUG/…; they need not be there. Recordings lie anywhere below
/// the folder.
struct ClientFiles {
  std::filesystem::path folder;
  std::filesystem::path client;   ///< client.toml
  std::filesystem::path logbook;  ///< logbook.h5
  std::filesystem::path aims;     ///< folder of the client's own aims
  std::filesystem::path ladders;  ///< and ladders
};
[[nodiscard]] ClientFiles client_files(const std::filesystem::path& clients,
                                       const std::string& name);

/// The client of this name (or of another spelling with the same slug); empty where none is set
/// up. Fails where the client's file cannot be read or is faulty.
[[nodiscard]] dsp::Result<std::optional<coaching::Client>> find_client(
    const std::filesystem::path& clients, const std::string& name);

/// As find_client, for where one has to be set up: fails where none is.
[[nodiscard]] dsp::Result<coaching::Client> need_client(const std::filesystem::path& clients,
                                                        const std::string& name);

/// Writes the client's file whole or not at all, in place of an earlier one; makes the folder.
/// Fails where the name has no slug, the text could not be read back, or the disk refuses.
[[nodiscard]] dsp::Result<void> store_client(const std::filesystem::path& clients,
                                             const coaching::Client& client);

/// All clients in the order of their slugs; files that cannot be read as failures.
struct ClientList {
  std::vector<coaching::Client> found;
  std::vector<dsp::Failure> broken;
};
[[nodiscard]] ClientList list_clients(const std::filesystem::path& clients);

}  // namespace strapline::cli
