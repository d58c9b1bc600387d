#pragma once

#include <filesystem>
#include <string>

#include "strapline/recordings/logbook.hpp"

namespace strapline::benchmarks {

/// "client 007" of an invented mountain-rescue team.
[[nodiscard]] std::string made_up_client(int number);

/// A logbook as three sets a day of five reps would fill it, 30 measures to a rep, all squats of
/// one kind, loads in four-week waves. Same number and sets: same logbook. Only the latest thousand
/// sets have their reps (all have their summaries), so that a logbook of 100,000 fits into memory
/// while it is written; nothing here reads older ones.
[[nodiscard]] recordings::Logbook made_up_logbook(int client, int sets);

/// A clients' folder with clients 1 to `clients`, each with a file that puts it onto the squat
/// ladder and a logbook of so many sets; what is missing of it is made. It lies in the folder that
/// STRAPLINE_BENCHMARK_DATA names, else in one below the system's temporary folder, and stays for
/// the next run. Ends the program with a line where it cannot be written.
[[nodiscard]] std::filesystem::path clients_with_logbooks(int clients, int sets);

/// The logbook of client 1 with so many sets, in such a folder.
[[nodiscard]] std::filesystem::path logbook_file(int sets);

/// The date after the last set of such a logbook: "2001-12-01".
[[nodiscard]] std::string day_after(int sets);

}  // namespace strapline::benchmarks
