#pragma once

#include <string>
#include <vector>

#include "strapline/coaching/aim.hpp"

namespace strapline::cli {

/// An aim for people: what it is for, every band with its reason and source.
[[nodiscard]] std::string aim_details(const coaching::Aim& aim);
[[nodiscard]] std::string aim_json_text(const coaching::Aim& aim);

/// An aim and where it comes from.
struct ListedAim {
  coaching::Aim aim;
  bool own = false;     ///< the client's own file
  bool active = false;  ///< for the client
};
[[nodiscard]] std::string aims_table(const std::vector<ListedAim>& aims);
[[nodiscard]] std::string aims_json(const std::vector<ListedAim>& aims);

}  // namespace strapline::cli
