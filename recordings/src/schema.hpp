#pragma once

#include <array>
#include <cstdint>
#include <string>

namespace strapline::recordings::schema {

// SCHEMA.md says the same in words; a test holds the two together.
constexpr std::int64_t kMajor = 1;  ///< a reader refuses a greater one
constexpr std::int64_t kMinor = 7;  ///< grows when something is added that readers may ignore
constexpr const char* kRecording = "strapline-recording";
constexpr const char* kLogbook = "strapline-logbook";

constexpr const char* kForeign = "x_";  ///< how names of others' additions begin
constexpr const char* kAccelerationUnit = "m/s^2";
constexpr const char* kRateUnit = "rad/s";
constexpr std::size_t kChannels = 6;

}  // namespace strapline::recordings::schema
