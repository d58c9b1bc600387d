#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "strapline/coaching/client.hpp"
#include "strapline/coaching/movement.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// A recording with what its analysis says.
struct ReviewedSet {
  std::filesystem::path file;
  recordings::Recording recording;
  coaching::Movement movement;
  dsp::SetAnalysis analysis;
  std::optional<coaching::Client> client;    ///< of the recording, where set up
  std::optional<dsp::Failure> client_fault;  ///< why the client's file could not be read
};

/// Reads and analyses a recording, as the movement it names or as `movement` (a name or a .toml
/// file) where that is not empty. Height and lengths that the recording lacks are those of its
/// client in the folder `clients`. A failure names the file.
[[nodiscard]] dsp::Result<ReviewedSet> review_file(const std::filesystem::path& file,
                                                   const std::string& movement = {},
                                                   const std::filesystem::path& clients = {});

/// The analysis alone, as review_file makes it: with the client's height and lengths where the
/// recording lacks them.
[[nodiscard]] dsp::Result<dsp::SetAnalysis> analyse_as_reviewed(
    const recordings::Recording& recording, const std::string& movement = {},
    const std::filesystem::path& clients = {});

}  // namespace strapline::cli
