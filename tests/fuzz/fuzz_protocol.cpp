#include <cstdio>
#include <cstdlib>

#include "protocol_laws.hpp"

// The first four bytes say how the stream is cut; the rest is read both as a stream and as a
// script.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  namespace laws = strapline::firmware_protocol::laws;
  const std::span<const std::uint8_t> input(data, size);
  const auto cuts = input.first(size < 4 ? size : 4);
  for (const std::string& broken : {laws::decoder(input, cuts), laws::device(input)}) {
    if (broken.empty()) continue;
    std::fprintf(stderr, "law broken: %s\n", broken.c_str());
    std::abort();
  }
  return 0;
}
