#include "clients_folder.hpp"

#include <algorithm>
#include <system_error>

#include "data_folder.hpp"
#include "text_file.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

constexpr const char* kFile = "client.toml";

bool is_ascii_capital(unsigned char c) { return c >= 'A' && c <= 'Z'; }

bool is_kept(unsigned char c) {
  return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || is_ascii_capital(c) || c >= 0x80;
}

dsp::Result<coaching::Client> read_client(const fs::path& file) {
  const auto text = read_text(file);
  if (!text) return tl::make_unexpected(text.error());
  return coaching::parse_client(*text, file.string());
}

std::string where_of(const fs::path& clients) { return "in " + clients.string(); }

}  // namespace

fs::path clients_folder(const std::string& given) {
  return data_folder(given, "STRAPLINE_CLIENTS", "clients");
}

void add_clients_option(CLI::App& command, std::string& folder) {
  command
      .add_option("--clients", folder,
                  "Folder of the clients [$STRAPLINE_CLIENTS, else ~/.local/share]")
      ->type_name("DIR");
}

std::string slug(const std::string& name) {
  std::string text;
  for (const char letter : name) {
    const auto c = static_cast<unsigned char>(letter);
    if (is_kept(c)) {
      text += is_ascii_capital(c) ? static_cast<char>(letter - 'A' + 'a') : letter;
    } else if (!text.empty() && text.back() != '-') {
      text += '-';
    }
  }
  while (!text.empty() && text.back() == '-') text.pop_back();
  return text;
}

ClientFiles client_files(const fs::path& clients, const std::string& name) {
  const fs::path folder = clients / slug(name);
  return {folder, folder / kFile, folder / "logbook.h5", folder / "aims", folder / "ladders"};
}

dsp::Result<std::optional<coaching::Client>> find_client(const fs::path& clients,
                                                         const std::string& name) {
  const fs::path file = client_files(clients, name).client;
  std::error_code error;
  if (slug(name).empty() || !fs::exists(file, error)) return std::nullopt;
  auto client = read_client(file);
  if (!client) return tl::make_unexpected(client.error());
  return std::optional(std::move(*client));
}

dsp::Result<coaching::Client> need_client(const fs::path& clients, const std::string& name) {
  auto client = find_client(clients, name);
  if (!client) return tl::make_unexpected(client.error());
  if (*client) return std::move(**client);
  return dsp::fail("no client '" + name + "' is set up", where_of(clients),
                   "strapline client list shows those that are, strapline client add adds one");
}

dsp::Result<void> store_client(const fs::path& clients, const coaching::Client& client) {
  if (slug(client.name).empty()) {
    return dsp::fail("the name '" + client.name + "' has no letter and no digit", "client",
                     "give a role or a name");
  }
  const ClientFiles files = client_files(clients, client.name);
  const std::string text = coaching::client_text(client);
  // What was typed may hold anything; a file that cannot be read again is never left behind.
  const auto readable = coaching::parse_client(text, files.client.string());
  if (!readable) return tl::make_unexpected(readable.error());
  std::error_code error;
  fs::create_directories(files.folder, error);
  if (error) {
    return dsp::fail("cannot make the folder (" + error.message() + ")", files.folder.string(),
                     "check the path");
  }
  return write_text(files.client, text);
}

ClientList list_clients(const fs::path& clients) {
  std::vector<fs::path> files;
  std::error_code error;
  for (fs::directory_iterator entry(clients, error), end; !error && entry != end;
       entry.increment(error)) {
    if (fs::exists(entry->path() / kFile, error)) files.push_back(entry->path() / kFile);
  }
  std::sort(files.begin(), files.end());
  ClientList list;
  for (const fs::path& file : files) {
    auto client = read_client(file);
    if (client) {
      list.found.push_back(std::move(*client));
    } else {
      list.broken.push_back(client.error());
    }
  }
  return list;
}

}  // namespace strapline::cli
