#pragma once

#include "strapline/pages/compare_page.hpp"
#include "strapline/pages/review_page.hpp"

namespace strapline::pages {

/// A made-up squat set of the stretcher lead: five full reps and one part reps, six traces, one
/// measure missing everywhere, one in a single rep, and a note that tries to be markup.
[[nodiscard]] ReviewPageInput made_up_review();

/// Ten made-up sets of eight weeks, one of another variation, loads rising, one measure rising.
[[nodiscard]] ComparePageInput made_up_comparison();

inline constexpr const char* kHostileNote =
    "felt </script><script>window.broken = 1</script><img src=x onerror='window.broken = 2'> <!-- "
    "& \"good\"";

}  // namespace strapline::pages
