#pragma once

#include <filesystem>
#include <functional>
#include <string>

#include <gtest/gtest.h>

#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/recording.hpp"

#include "hdf5/image.hpp"

namespace strapline::recordings::testing {

/// A folder of its own, gone with the test.
class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] std::filesystem::path operator/(const std::string& name) const {
    return path_ / name;
  }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] std::vector<std::string> names() const;  ///< of its files, sorted

 private:
  std::filesystem::path path_;
};

/// Two straps with different lengths and rates, everything optional set; never square.
[[nodiscard]] Recording full_recording();

/// One strap, nothing optional set.
[[nodiscard]] Recording bare_recording();

/// Three reps (one a part rep), measured and unmeasured values, NaN in a trace.
[[nodiscard]] dsp::SetAnalysis sample_analysis();

void expect_equal(const Recording& a, const Recording& b);
void expect_equal(const std::vector<dsp::RepCluster>& a, const std::vector<dsp::RepCluster>& b);
void expect_equal(const dsp::MeasureMap& a, const dsp::MeasureMap& b);
void expect_equal(const dsp::SetAnalysis& a, const dsp::SetAnalysis& b);
void expect_equal(const std::vector<dsp::Rep>& a, const std::vector<dsp::Rep>& b);
[[nodiscard]] bool same(const Recording& a, const Recording& b);

[[nodiscard]] h5::Bytes bytes_of(const std::filesystem::path& file);
void put(const std::filesystem::path& file, const h5::Bytes& bytes);
void put(const std::filesystem::path& file, const std::string& text);

/// Opens the file, lets `change` work on its root, and writes it back.
void change_file(const std::filesystem::path& file, const std::function<void(hid_t)>& change);

}  // namespace strapline::recordings::testing
