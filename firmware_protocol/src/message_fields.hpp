#pragma once

#include <concepts>
#include <type_traits>

#include "strapline/firmware_protocol/bytes.hpp"
#include "strapline/firmware_protocol/messages.hpp"

/// Every message's fields in wire order, said once for both directions: `io` is a Put or a Get.
namespace strapline::firmware_protocol::wire {

template <class T, class Message>
concept Either = std::same_as<std::remove_const_t<T>, Message>;

class Put {
 public:
  explicit Put(std::span<std::uint8_t> out) : bytes_(out) {}

  void operator()(std::uint8_t v) { bytes_.u8(v); }
  void operator()(std::uint16_t v) { bytes_.u16(v); }
  void operator()(std::uint32_t v) { bytes_.u32(v); }
  void operator()(std::uint64_t v) { bytes_.u64(v); }
  void operator()(std::int16_t v) { bytes_.i16(v); }
  template <class Enum>
  requires std::is_enum_v<Enum>
  void operator()(Enum v) { bytes_.u8(static_cast<std::uint8_t>(v)); }
  void operator()(const Rate& v) {
    bytes_.u32(v.numerator);
    bytes_.u32(v.denominator);
    valid_ = valid_ && v.denominator != 0;
  }
  void operator()(const PartName& v);
  void samples(std::uint8_t count, const std::array<SampleCounts, kMaxBatchSamples>& samples);

  [[nodiscard]] std::size_t size() const { return valid_ && bytes_.ok() ? bytes_.size() : 0; }

 private:
  ByteWriter bytes_;
  bool valid_ = true;
};

class Get {
 public:
  explicit Get(std::span<const std::uint8_t> in) : bytes_(in) {}

  void operator()(std::uint8_t& v) { v = bytes_.u8(); }
  void operator()(std::uint16_t& v) { v = bytes_.u16(); }
  void operator()(std::uint32_t& v) { v = bytes_.u32(); }
  void operator()(std::uint64_t& v) { v = bytes_.u64(); }
  void operator()(std::int16_t& v) { v = bytes_.i16(); }
  template <class Enum>
  requires std::is_enum_v<Enum>
  void operator()(Enum& v) { v = static_cast<Enum>(bytes_.u8()); }
  void operator()(Rate& v) {
    v.numerator = bytes_.u32();
    v.denominator = bytes_.u32();
    valid_ = valid_ && v.denominator != 0;
  }
  void operator()(PartName& v);
  void samples(std::uint8_t count, std::array<SampleCounts, kMaxBatchSamples>& samples);

  [[nodiscard]] bool ok() const { return valid_ && bytes_.ok(); }

 private:
  ByteReader bytes_;
  bool valid_ = true;
};

template <class Io, class M>
requires Either<M, Identify> || Either<M, Start> || Either<M, Stop>
void fields(Io& io, M& m) { io(m.request); }

template <class Io, Either<Configure> M>
void fields(Io& io, M& m) {
  io(m.request);
  io(m.rate);
  io(m.batch_samples);
}

template <class Io, Either<ClockPing> M>
void fields(Io& io, M& m) {
  io(m.host_token);
}

template <class Io, Either<ResendRequest> M>
void fields(Io& io, M& m) {
  io(m.request);
  io(m.first_sequence);
  io(m.last_sequence);
}

template <class Io, Either<Identity> M>
void fields(Io& io, M& m) {
  io(m.request);
  io(m.device_id);
  io(m.firmware_version);
  io(m.tick_hz);
  io(m.rate);
  io(m.acc_scale_pico);
  io(m.gyr_scale_pico);
  io(m.full_scale_count);
  io(m.max_batch_samples);
  io(m.ring_batches);
  io(m.state);
  io(m.part_name);
}

template <class Io, Either<Configured> M>
void fields(Io& io, M& m) {
  io(m.request);
  io(m.rate);
  io(m.batch_samples);
  io(m.settings_check);
}

template <class Io, Either<Acknowledge> M>
void fields(Io& io, M& m) {
  io(m.request);
  io(m.acknowledged);
  io(m.sequence);
}

template <class Io, Either<Refuse> M>
void fields(Io& io, M& m) {
  io(m.request);
  io(m.refused);
  io(m.reason);
  io(m.sequence);
}

template <class Io, Either<ClockPong> M>
void fields(Io& io, M& m) {
  io(m.host_token);
  io(m.received_tick);
  io(m.sent_tick);
}

template <class Io, Either<Status> M>
void fields(Io& io, M& m) {
  io(m.tick);
  io(m.state);
  io(m.battery_percent);
  io(m.temperature_centi);
  io(m.dropped_samples);
  io(m.saturated_samples);
  io(m.corrupt_frames);
  io(m.settings_check);
}

template <class Io, Either<SampleBatch> M>
void fields(Io& io, M& m) {
  io(m.sequence);
  io(m.first_tick);
  io(m.span_ticks);
  io(m.settings_check);
  io(m.flags);
  io(m.count);
  io.samples(m.count, m.samples);
}

}  // namespace strapline::firmware_protocol::wire
