#include "fake_strap.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace strapline::acquisition::testing {
namespace fp = firmware_protocol;
namespace {

constexpr std::uint32_t kTickHz = 1'000'000;
constexpr fp::Rate kRate{104, 1};

fp::DeviceTraits traits_of(std::uint64_t device_id) {
  fp::DeviceTraits traits;
  traits.identity.device_id = device_id;
  traits.identity.firmware_version = 0x010203;
  traits.identity.tick_hz = kTickHz;
  traits.identity.acc_scale_pico = 4'788'403'320;  // 16 g over 32768 counts
  traits.identity.gyr_scale_pico = 1'221'730'476;  // 70 mdps per count
  traits.identity.full_scale_count = 32767;
  traits.rates = {fp::Rate{104, 1}, fp::Rate{208, 1}};
  traits.rate_count = 2;
  return traits;
}

}  // namespace

void MemoryStream::async_read(ReadHandler handler) {
  reader_ = std::move(handler);
  loop_.post([this, alive = std::weak_ptr<bool>(alive_)] {
    if (!alive.expired()) pump();
  });
}

void MemoryStream::async_write(std::vector<std::uint8_t> bytes, WriteHandler handler) {
  if (strap_ != nullptr) strap_->receive(std::move(bytes));
  loop_.post([handler = std::move(handler), alive = std::weak_ptr<bool>(alive_)] {
    if (!alive.expired()) handler({});
  });
}

void MemoryStream::close() {
  if (strap_ != nullptr) strap_->stream_closed();
  strap_ = nullptr;
  alive_.reset();
}

std::string MemoryStream::description() const { return "memory"; }

void MemoryStream::arrive(std::span<const std::uint8_t> bytes) {
  inbox_.insert(inbox_.end(), bytes.begin(), bytes.end());
  pump();
}

void MemoryStream::break_off() {
  strap_ = nullptr;
  broken_ = true;
  loop_.post([this, alive = std::weak_ptr<bool>(alive_)] {
    if (!alive.expired()) pump();
  });
}

void MemoryStream::pump() {
  if (!reader_ || (inbox_.empty() && !broken_)) return;
  const ReadHandler reader = std::exchange(reader_, nullptr);
  if (inbox_.empty()) return reader(fail("the link was closed by the other side", "memory"));
  const std::vector<std::uint8_t> bytes = std::exchange(inbox_, {});
  reader(std::span<const std::uint8_t>(bytes));
}

FakeStrap::FakeStrap(SimulatedLoop& loop, std::uint64_t device_id, LinkFaults faults,
                     double skew_ppm, std::size_t ring_batches)
    : loop_(loop),
      faults_(faults),
      traits_(traits_of(device_id)),
      skew_(skew_ppm * 1e-6),
      ring_(ring_batches),
      powered_ns_(loop.time_ns() - 40'000'000'000),
      random_(static_cast<std::uint32_t>(device_id)) {
  device_ = std::make_unique<fp::Device>(traits_, ring_);
  device_->set_health(83, 3120);
  take_sample();
}

std::uint64_t FakeStrap::tick() const {
  const double seconds = static_cast<double>(loop_.time_ns() - powered_ns_) * 1e-9;
  return static_cast<std::uint64_t>(seconds * kTickHz * (1.0 + skew_));
}

void FakeStrap::take_sample() {
  const double period_s = static_cast<double>(kRate.denominator) / kRate.numerator / (1.0 + skew_);
  loop_.after(static_cast<std::int64_t>(period_s * 1e9), [this] { take_sample(); });
  if (device_->state() == fp::DeviceState::streaming) {
    Reading reading;
    std::uniform_int_distribution<int> any(-32000, 32000);
    for (auto& count : reading.counts) count = static_cast<std::int16_t>(any(random_));
    reading.tick = static_cast<std::int64_t>(tick());
    reading.true_s = static_cast<double>(loop_.time_ns()) * 1e-9;
    readings_.push_back(reading);
    device_->sample(reading.counts, tick());
  }
  transmit();
}

Result<std::unique_ptr<ByteStream>> FakeStrap::connect() {
  if (!plugged_) return fail("no such serial port", "fake");
  auto stream = std::make_unique<MemoryStream>(loop_, *this);
  stream_ = stream.get();
  ++link_number_;
  device_->link_opened();
  return stream;
}

void FakeStrap::unplug() {
  plugged_ = false;
  if (stream_ == nullptr) return;
  stream_->arrive(std::vector<std::uint8_t>{5, 1, 1});  // the beginning of a frame
  if (stream_ != nullptr) std::exchange(stream_, nullptr)->break_off();
}

void FakeStrap::restart() {
  device_ = std::make_unique<fp::Device>(traits_, ring_);
  powered_ns_ = loop_.time_ns();
}

void FakeStrap::stop_by_itself() {
  std::vector<std::uint8_t> bytes(fp::kMaxEncodedFrameBytes);
  bytes.resize(fp::encode_message(fp::Stop{}, bytes));
  device_->receive(bytes, tick());
  std::vector<std::uint8_t> answers(4 * fp::kMaxEncodedFrameBytes);
  (void)device_->transmit(answers, tick());  // go to the other host
}

void FakeStrap::receive(std::vector<std::uint8_t> bytes) {
  const double delay_s =
      faults_.least_s + faults_.jitter_s * std::exponential_distribution<double>(1.0)(random_);
  loop_.after(static_cast<std::int64_t>(delay_s * 1e9), [this, bytes, link = link_number_] {
    if (stream_ == nullptr || muted_ || link != link_number_) return;
    device_->receive(bytes, tick());
    transmit();
  });
}

void FakeStrap::transmit() {
  if (stream_ == nullptr) return;  // what waits stays in the ring
  std::vector<std::uint8_t> buffer(fp::kMaxEncodedFrameBytes);
  while (const std::size_t size = device_->transmit(buffer, tick())) {
    auto from = buffer.begin();
    const auto end = buffer.begin() + static_cast<std::ptrdiff_t>(size);
    while (from != end) {
      const auto to = std::find(from, end, fp::kDelimiter) + 1;
      send_frame({from, to});
      from = to;
    }
  }
}

void FakeStrap::send_frame(std::vector<std::uint8_t> frame) {
  const bool batch = frame.size() > 100;  // only batches are long
  if (batch && chance(faults_.drop)) return;
  if (chance(faults_.corrupt)) {
    const auto at = std::uniform_int_distribution<std::size_t>(0, frame.size() - 1)(random_);
    frame[at] = static_cast<std::uint8_t>(frame[at] ^ (1U << (random_() % 8)));
  }
  if (batch && chance(faults_.duplicate)) deliver(frame, 0.0);
  deliver(frame, batch && chance(faults_.delay) ? 0.25 : 0.0);
}

// Frames keep their order, but those that are held up on purpose.
void FakeStrap::deliver(std::vector<std::uint8_t> frame, double extra_s) {
  const double delay_s =
      faults_.least_s + faults_.jitter_s * std::exponential_distribution<double>(1.0)(random_);
  const auto due = loop_.time_ns() + static_cast<std::int64_t>(delay_s * 1e9);
  last_arrival_ns_ = std::max(last_arrival_ns_, due);
  const auto at = last_arrival_ns_ + static_cast<std::int64_t>(extra_s * 1e9);
  loop_.after(at - loop_.time_ns(), [this, frame = std::move(frame), link = link_number_] {
    if (stream_ != nullptr && !muted_ && link == link_number_) stream_->arrive(frame);
  });
}

void FakeLinks::async_open(const Address& address, std::int64_t, OpenHandler handler) {
  loop_.post([this, path = address.path, handler = std::move(handler)] {
    const auto strap = straps_.find(path);
    if (strap == straps_.end()) return handler(fail("no such serial port", path, "attach it"));
    handler(strap->second->connect());
  });
}

}  // namespace strapline::acquisition::testing
