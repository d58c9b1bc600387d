#pragma once

#include <string>

#include "hdf5/attribute.hpp"
#include "schema.hpp"

namespace strapline::recordings {

inline void write_format(hid_t root, const std::string& format) {
  h5::set_text(root, "format", format);
  h5::set_integer(root, "schema_major", schema::kMajor);
  h5::set_integer(root, "schema_minor", schema::kMinor);
  h5::set_text(root, "written_by", std::string("strapline ") + STRAPLINE_VERSION);
}

/// Raises where the file is of another format or of a newer major version. `kind` is what was
/// expected, for the message ("a recording").
inline void check_format(hid_t root, const std::string& format, const std::string& kind) {
  const auto found = h5::find_text(root, "format");
  if (!found) h5::raise("an HDF5 file, but not " + kind);
  if (*found != format) h5::raise("an HDF5 file, but not " + kind + " (it says " + *found + ")");
  const std::int64_t major = h5::need_integer(root, "schema_major");
  const std::string version = std::to_string(major) + "." +
                              std::to_string(h5::find_integer(root, "schema_minor").value_or(0));
  if (major > schema::kMajor) {
    h5::raise("written in schema " + version + ", newer than this program reads (" +
                  std::to_string(schema::kMajor) + ".x)",
              {}, "use a newer version of the program");
  }
  if (major < 1) h5::raise("schema " + version + " does not exist");
}

}  // namespace strapline::recordings
