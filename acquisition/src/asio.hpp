#pragma once

// The one place that includes Asio: GCC 12 needs <utility> before it under C++20, and Clang 14
// rejects its coroutines. Slow to compile: only the links and the event loop include this.
#include <utility>

#ifndef BOOST_ASIO_DISABLE_CO_AWAIT
#define BOOST_ASIO_DISABLE_CO_AWAIT
#endif
#ifndef BOOST_ASIO_NO_DEPRECATED
#define BOOST_ASIO_NO_DEPRECATED
#endif

// GCC's thread sanitizer does not know fences and says so; the loop's queue is locked anyway.
#if defined(__SANITIZE_THREAD__) && !defined(BOOST_ASIO_DISABLE_FENCED_BLOCK)
#define BOOST_ASIO_DISABLE_FENCED_BLOCK
#endif

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/serial_port.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>

namespace strapline::acquisition {
namespace asio = boost::asio;
using ErrorCode = boost::system::error_code;
}  // namespace strapline::acquisition
