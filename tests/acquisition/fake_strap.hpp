#pragma once

#include <functional>
#include <map>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "strapline/acquisition/byte_stream.hpp"
#include "strapline/firmware_protocol/device.hpp"

#include "simulated_loop.hpp"

namespace strapline::acquisition::testing {

/// What befalls the frames of a strap on their way to the host.
struct LinkFaults {
  double drop = 0.0;        ///< probability that a batch vanishes
  double corrupt = 0.0;     ///< ... that one bit of any frame flips
  double duplicate = 0.0;   ///< ... that a batch comes twice
  double delay = 0.0;       ///< ... that a batch comes behind later frames
  double least_s = 0.002;   ///< one way
  double jitter_s = 0.001;  ///< mean of the exponential part of the delay
};

class FakeStrap;

/// The host's end of an in-memory link.
class MemoryStream : public ByteStream {
 public:
  MemoryStream(SimulatedLoop& loop, FakeStrap& strap) : loop_(loop), strap_(&strap) {}
  ~MemoryStream() override { close(); }
  void async_read(ReadHandler handler) override;
  void async_write(std::vector<std::uint8_t> bytes, WriteHandler handler) override;
  void close() override;
  [[nodiscard]] std::string description() const override;

  void arrive(std::span<const std::uint8_t> bytes);
  void break_off();  ///< the other side is gone

 private:
  void pump();
  SimulatedLoop& loop_;
  FakeStrap* strap_;  ///< null when closed
  std::vector<std::uint8_t> inbox_;
  bool broken_ = false;
  ReadHandler reader_;
  std::shared_ptr<bool> alive_ = std::make_shared<bool>(true);
};

/// A strap with the real device-side state machine, a clock with a skew of its own, and made-up
/// readings that are never the same twice.
class FakeStrap {
 public:
  struct Reading {
    firmware_protocol::SampleCounts counts{};
    std::int64_t tick = 0;
    double true_s = 0.0;  ///< host clock, seconds
  };

  FakeStrap(SimulatedLoop& loop, std::uint64_t device_id, LinkFaults faults, double skew_ppm = 30.0,
            std::size_t ring_batches = 256);

  [[nodiscard]] Result<std::unique_ptr<ByteStream>> connect();
  void unplug();  ///< breaks the link; connect() fails until plug_in()
  void plug_in() { plugged_ = true; }
  void restart();                            ///< loses its memory, its state and its tick
  void stop_by_itself();                     ///< as if another host had stopped it
  void mute(bool muted) { muted_ = muted; }  ///< the link stays open and carries nothing
  void set_faults(LinkFaults faults) { faults_ = faults; }

  /// All readings taken while streaming, over all lives.
  [[nodiscard]] const std::vector<Reading>& readings() const { return readings_; }
  [[nodiscard]] const firmware_protocol::Device& device() const { return *device_; }
  [[nodiscard]] bool linked() const { return stream_ != nullptr; }

 private:
  friend class MemoryStream;
  void receive(std::vector<std::uint8_t> bytes);
  void stream_closed() { stream_ = nullptr; }
  void take_sample();
  void transmit();
  void send_frame(std::vector<std::uint8_t> frame);
  void deliver(std::vector<std::uint8_t> frame, double extra_s);
  [[nodiscard]] std::uint64_t tick() const;
  [[nodiscard]] bool chance(double p) { return std::bernoulli_distribution(p)(random_); }

  SimulatedLoop& loop_;
  LinkFaults faults_;
  firmware_protocol::DeviceTraits traits_;
  double skew_;
  std::vector<firmware_protocol::SampleBatch> ring_;
  std::unique_ptr<firmware_protocol::Device> device_;
  std::int64_t powered_ns_;
  MemoryStream* stream_ = nullptr;
  std::uint64_t link_number_ = 0;
  bool plugged_ = true;
  bool muted_ = false;
  std::int64_t last_arrival_ns_ = 0;
  std::mt19937 random_;
  std::vector<Reading> readings_;
};

/// Opens links to fake straps by path; one of them refuses with a line of its own.
class FakeLinks : public LinkOpener {
 public:
  explicit FakeLinks(SimulatedLoop& loop) : loop_(loop) {}
  void add(const std::string& path, FakeStrap& strap) { straps_[path] = &strap; }
  void async_open(const Address& address, std::int64_t timeout_ns, OpenHandler handler) override;

 private:
  SimulatedLoop& loop_;
  std::map<std::string, FakeStrap*> straps_;
};

}  // namespace strapline::acquisition::testing
