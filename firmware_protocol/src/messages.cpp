#include "strapline/firmware_protocol/messages.hpp"

#include "strapline/firmware_protocol/crc16.hpp"

#include "message_fields.hpp"

namespace strapline::firmware_protocol {

namespace wire {

void Put::operator()(const PartName& v) {
  valid_ = valid_ && v.length <= v.text.size();
  if (!valid_) return;
  bytes_.u8(v.length);
  for (std::size_t i = 0; i < v.length; ++i) bytes_.u8(static_cast<std::uint8_t>(v.text[i]));
}

// A longer name than this version keeps is cut, not refused: it is only for people to read.
void Get::operator()(PartName& v) {
  const std::uint8_t sent = bytes_.u8();
  v = PartName{};
  for (std::size_t i = 0; i < sent; ++i) {
    const char letter = static_cast<char>(bytes_.u8());
    if (v.length < v.text.size()) v.text[v.length++] = letter;
  }
}

void Put::samples(std::uint8_t count, const std::array<SampleCounts, kMaxBatchSamples>& samples) {
  valid_ = valid_ && count >= 1 && count <= samples.size();
  if (!valid_) return;
  for (std::size_t i = 0; i < count; ++i) {
    for (const std::int16_t value : samples[i]) bytes_.i16(value);
  }
}

void Get::samples(std::uint8_t count, std::array<SampleCounts, kMaxBatchSamples>& samples) {
  valid_ = valid_ && count >= 1 && count <= samples.size();
  if (!valid_) return;
  for (std::size_t i = 0; i < count; ++i) {
    for (std::int16_t& value : samples[i]) value = bytes_.i16();
  }
}

template <class Message>
std::size_t encode(const Message& message, std::span<std::uint8_t> out) {
  Put put(out);
  fields(put, message);
  return put.size();
}

template <class Message>
bool decode(std::span<const std::uint8_t> payload, Message& out) {
  Get get(payload);
  fields(get, out);
  return get.ok();
}

}  // namespace wire

using Bytes = std::span<const std::uint8_t>;
using Room = std::span<std::uint8_t>;

std::size_t encode_payload(const Identify& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Configure& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Start& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Stop& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const ClockPing& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const ResendRequest& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Identity& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Configured& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Acknowledge& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Refuse& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const ClockPong& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const Status& m, Room out) { return wire::encode(m, out); }
std::size_t encode_payload(const SampleBatch& m, Room out) { return wire::encode(m, out); }

bool decode_payload(Bytes payload, Identify& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Configure& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Start& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Stop& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, ClockPing& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, ResendRequest& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Identity& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Configured& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Acknowledge& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Refuse& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, ClockPong& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, Status& out) { return wire::decode(payload, out); }
bool decode_payload(Bytes payload, SampleBatch& out) { return wire::decode(payload, out); }

bool SampleBatch::operator==(const SampleBatch& other) const {
  if (sequence != other.sequence || first_tick != other.first_tick ||
      span_ticks != other.span_ticks || settings_check != other.settings_check ||
      flags != other.flags || count != other.count) {
    return false;
  }
  for (std::size_t i = 0; i < count && i < samples.size(); ++i) {
    if (samples[i] != other.samples[i]) return false;
  }
  return true;
}

std::uint16_t settings_check(const Identity& identity, Rate rate) {
  std::array<std::uint8_t, 42> bytes{};
  ByteWriter out(bytes);
  out.u64(identity.device_id);
  out.u32(identity.firmware_version);
  out.u32(identity.tick_hz);
  out.u32(rate.numerator);
  out.u32(rate.denominator);
  out.u64(identity.acc_scale_pico);
  out.u64(identity.gyr_scale_pico);
  out.u16(identity.full_scale_count);
  return crc16(std::span<const std::uint8_t>(bytes.data(), out.size()));
}

}  // namespace strapline::firmware_protocol
