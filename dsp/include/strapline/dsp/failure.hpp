#pragma once

#include <string>
#include <utility>

#include <tl/expected.hpp>

namespace strapline::dsp {

/// An expected failure, as one line a person can act on: what went wrong, where, what to do.
/// Travels as a value; never thrown across rooms.
struct Failure {
  std::string what;   ///< "the still part is shorter than 1 s"
  std::string where;  ///< file, line, placement or option; may be empty
  std::string todo;   ///< "stand still for three seconds"; may be empty

  /// "where: what; todo" on one line.
  [[nodiscard]] std::string line() const {
    std::string text = where.empty() ? what : where + ": " + what;
    return todo.empty() ? text : text + "; " + todo;
  }
};

template <class T>
using Result = tl::expected<T, Failure>;

[[nodiscard]] inline tl::unexpected<Failure> fail(std::string what, std::string where = {},
                                                  std::string todo = {}) {
  return tl::make_unexpected(Failure{std::move(what), std::move(where), std::move(todo)});
}

}  // namespace strapline::dsp
