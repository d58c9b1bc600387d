#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <utility>

#include "strapline/dsp/body.hpp"

namespace strapline::coaching {

/// The lengths of a body, m, by the names that files and listings use, in the order shown.
inline constexpr std::array<
    std::pair<std::string_view, std::optional<double> dsp::BodyDimensions::*>, 6>
    kBodyLengths{{{"height", &dsp::BodyDimensions::height},
                  {"thigh", &dsp::BodyDimensions::thigh},
                  {"shank", &dsp::BodyDimensions::shank},
                  {"foot", &dsp::BodyDimensions::foot},
                  {"upper_arm", &dsp::BodyDimensions::upper_arm},
                  {"forearm", &dsp::BodyDimensions::forearm}}};

}  // namespace strapline::coaching
