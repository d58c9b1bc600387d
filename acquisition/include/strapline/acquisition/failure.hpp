#pragma once

#include <string>
#include <utility>

#include <tl/expected.hpp>

namespace strapline::acquisition {

/// An expected failure, as one line a person can act on: what went wrong, where, what to do.
/// Travels as a value; never thrown across rooms. (Same shape as in the other rooms, which this
/// one cannot see.)
struct Failure {
  std::string what;   ///< "the port is in use by another program"
  std::string where;  ///< file, address or strap; may be empty
  std::string todo;   ///< "close the other program"; may be empty

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

}  // namespace strapline::acquisition
