#pragma once

#include <chrono>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/firmware_protocol/frame.hpp"
#include "strapline/firmware_protocol/frame_decoder.hpp"

/// A host of few words that speaks the protocol over a plain file descriptor, so that virtual
/// straps are tested without this room's own sessions.
namespace strapline::acquisition::testing {

/// Connects to "/dev/pts/7" or "tcp:127.0.0.1:PORT"; -1 where that fails.
[[nodiscard]] int connect_to(const std::string& address);

class Client {
 public:
  explicit Client(const std::string& address) : file_(connect_to(address)) {}
  Client(const Client&) = delete;
  Client& operator=(const Client&) = delete;
  ~Client() { close(); }

  void close();
  [[nodiscard]] bool is_open() const { return file_ >= 0; }
  /// The other side closed the link.
  [[nodiscard]] bool gone() const { return gone_; }

  template <class Message>
  void say(const Message& message) {
    std::vector<std::uint8_t> bytes(firmware_protocol::kMaxEncodedFrameBytes);
    bytes.resize(firmware_protocol::encode_message(message, bytes));
    write(bytes);
  }

  /// Listens until there is an answer of this type, keeping the batches that come meanwhile.
  template <class Answer, class Message>
  [[nodiscard]] Answer ask(const Message& message) {
    say(message);
    Answer answer;
    const bool heard = listen([&](const firmware_protocol::Frame& frame) {
      return frame.type == Answer::kType &&
             firmware_protocol::decode_payload(frame.payload, answer);
    });
    EXPECT_TRUE(heard) << "no answer of type " << static_cast<int>(Answer::kType);
    return answer;
  }

  /// Configures and starts; the first sequence number.
  std::uint32_t start();
  /// Stops, asks again for what is missing until it is there, in sequence from `first`.
  void stop_and_complete(std::uint32_t first);
  /// Listens until `n` samples are there or the link is gone.
  void listen_for_samples(std::size_t n);
  /// Listens until this batch or a later one is there.
  void listen_for_batch(std::uint32_t sequence);

  /// Samples of batch after batch, from sequence `first` on.
  struct Heard {
    std::vector<firmware_protocol::SampleCounts> counts;
    std::vector<std::int64_t> ticks;
  };
  [[nodiscard]] Heard heard(std::uint32_t first = 0) const;
  [[nodiscard]] std::size_t samples() const { return samples_; }
  /// Takes over what was heard on an earlier link.
  void remember(const Client& earlier) {
    batches = earlier.batches;
    samples_ = earlier.samples_;
  }

  std::map<std::uint32_t, firmware_protocol::SampleBatch> batches;
  firmware_protocol::FrameDecoder decoder;
  firmware_protocol::Status status;
  std::size_t resent = 0;

  /// Feeds frames to `done` until it says true; false at the end of the link or after `patience`.
  template <class Done>
  bool listen(Done done, std::chrono::milliseconds patience = std::chrono::seconds(30)) {
    const auto until = std::chrono::steady_clock::now() + patience;
    while (!gone_) {
      while (const auto frame = decoder.next(rest_)) {
        keep(*frame);
        if (done(*frame)) return true;
      }
      if (std::chrono::steady_clock::now() > until) return false;
      read_some();
    }
    return false;
  }

 private:
  void keep(const firmware_protocol::Frame& frame);
  void write(const std::vector<std::uint8_t>& bytes);
  void read_some();

  int file_;
  bool gone_ = false;
  std::size_t samples_ = 0;
  std::vector<std::uint8_t> buffer_ = std::vector<std::uint8_t>(4096);
  std::span<const std::uint8_t> rest_;
};

}  // namespace strapline::acquisition::testing
