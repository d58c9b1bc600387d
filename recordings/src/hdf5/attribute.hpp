#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "hdf5/error.hpp"

namespace strapline::recordings::h5 {

void set_real(hid_t object, const std::string& name, double value);
void set_reals(hid_t object, const std::string& name, std::span<const double> values);
void set_integer(hid_t object, const std::string& name, std::int64_t value);
void set_unsigned(hid_t object, const std::string& name, std::uint64_t value);

/// Fixed length, UTF-8: it stays inside the object header, under the header's checksum.
void set_text(hid_t object, const std::string& name, std::string_view text);

/// Write nothing where there is nothing to say: missing is never zero.
void set_if(hid_t object, const std::string& name, const std::optional<double>& value);
void set_if(hid_t object, const std::string& name, const std::string& text);

/// Takes the attribute away, where there is one.
void remove_attribute(hid_t object, const std::string& name);

/// Empty where the attribute is absent; raise where it is not of this kind.
[[nodiscard]] std::optional<double> find_real(hid_t object, const std::string& name);
[[nodiscard]] std::optional<std::vector<double>> find_reals(hid_t object, const std::string& name);
[[nodiscard]] std::optional<std::int64_t> find_integer(hid_t object, const std::string& name);
[[nodiscard]] std::optional<std::uint64_t> find_unsigned(hid_t object, const std::string& name);
[[nodiscard]] std::optional<std::string> find_text(hid_t object, const std::string& name);

/// Raise "attribute X is missing" where it is.
[[nodiscard]] double need_real(hid_t object, const std::string& name);
[[nodiscard]] std::int64_t need_integer(hid_t object, const std::string& name);
[[nodiscard]] std::string need_text(hid_t object, const std::string& name);

/// Names of all attributes, in alphabetical order.
[[nodiscard]] std::vector<std::string> attribute_names(hid_t object);

}  // namespace strapline::recordings::h5
