#pragma once

#include <string>
#include <vector>

#include "hdf5/error.hpp"

namespace strapline::recordings::h5 {

[[nodiscard]] Handle create_group(hid_t parent, const std::string& name);

/// Raises "group X is missing" where it is.
[[nodiscard]] Handle open_group(hid_t parent, const std::string& name);

[[nodiscard]] bool has_child(hid_t parent, const std::string& name);
[[nodiscard]] bool is_group(hid_t parent, const std::string& name);

/// Names of the children that are groups or data sets, in alphabetical order.
[[nodiscard]] std::vector<std::string> child_names(hid_t parent);

void remove_child(hid_t parent, const std::string& name);

}  // namespace strapline::recordings::h5
