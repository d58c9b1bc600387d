#include <cstdint>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "protocol_laws.hpp"
#include "wire_samples.hpp"

namespace strapline::firmware_protocol {
namespace {

using samples::Bytes;

/// Frames, damaged frames and noise, one after the other.
rc::Gen<Bytes> stream() {
  return rc::gen::exec([] {
    Bytes all;
    const int pieces = *rc::gen::inRange(1, 12);
    for (int i = 0; i < pieces; ++i) {
      Bytes piece = samples::frame_of(samples::batch(*rc::gen::inRange<std::uint8_t>(1, 21)));
      const int kind = *rc::gen::inRange(0, 5);
      const auto at = *rc::gen::inRange<std::size_t>(0, piece.size());
      if (kind == 0) piece = *rc::gen::arbitrary<Bytes>();
      if (kind == 1) piece[at] ^= *rc::gen::inRange<std::uint8_t>(1, 255);
      if (kind == 2) piece.resize(at);
      if (kind == 3) piece.insert(piece.begin(), *rc::gen::inRange<std::size_t>(0, 700), 0x5A);
      all.insert(all.end(), piece.begin(), piece.end());
    }
    return all;
  });
}

RC_GTEST_PROP(DecoderLaws, AnyChunkingDecodesAlike, (const Bytes& cuts)) {
  RC_ASSERT(laws::decoder(*stream(), cuts) == "");
}

RC_GTEST_PROP(DecoderLaws, AnyBytesDecodeAlike, (const Bytes& anything, const Bytes& cuts)) {
  RC_ASSERT(laws::decoder(anything, cuts) == "");
}

RC_GTEST_PROP(DeviceLaws, KeepsItsPromisesWhateverHappens, ()) {
  Bytes script = {0, 4, 1, 0};  // configured and streaming; then anything
  const auto length = *rc::gen::inRange<std::size_t>(0, 400);
  const auto rest = *rc::gen::container<Bytes>(length, rc::gen::arbitrary<std::uint8_t>());
  script.insert(script.end(), rest.begin(), rest.end());
  RC_ASSERT(laws::device(script) == "");
}

}  // namespace
}  // namespace strapline::firmware_protocol
