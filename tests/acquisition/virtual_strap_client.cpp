#include "virtual_strap_client.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

namespace strapline::acquisition::testing {

namespace fp = firmware_protocol;

int connect_to(const std::string& address) {
  if (!address.starts_with("tcp:")) return ::open(address.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  const auto colon = address.rfind(':');
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  to.sin_port = htons(static_cast<std::uint16_t>(std::stoi(address.substr(colon + 1))));
  const int file = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  // A fixed small window: the kernel would otherwise grow it to megabytes, and nothing would jam.
  const int window = 32 * 1024;
  ::setsockopt(file, SOL_SOCKET, SO_RCVBUF, &window, sizeof window);
  if (::connect(file, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0) return file;
  ::close(file);
  return -1;
}

void Client::close() {
  if (file_ >= 0) ::close(file_);
  file_ = -1;
  gone_ = true;
}

void Client::write(const std::vector<std::uint8_t>& bytes) {
  ASSERT_TRUE(is_open());
  const auto written = ::write(file_, bytes.data(), bytes.size());
  if (written != static_cast<ssize_t>(bytes.size())) gone_ = true;
}

void Client::read_some() {
  pollfd ready{.fd = file_, .events = POLLIN, .revents = 0};
  if (::poll(&ready, 1, 20) <= 0) return;
  const auto size = ::read(file_, buffer_.data(), buffer_.size());
  if (size <= 0) {
    gone_ = true;
  } else {
    rest_ = std::span<const std::uint8_t>(buffer_.data(), static_cast<std::size_t>(size));
  }
}

void Client::keep(const fp::Frame& frame) {
  fp::SampleBatch batch;
  if (frame.type == fp::Status::kType) (void)fp::decode_payload(frame.payload, status);
  if (frame.type != fp::SampleBatch::kType || !fp::decode_payload(frame.payload, batch)) return;
  if ((batch.flags & fp::kBatchResent) != 0) ++resent;
  batch.flags = 0;
  const auto [at, is_new] = batches.try_emplace(batch.sequence, batch);
  if (is_new) samples_ += batch.count;
  EXPECT_TRUE(is_new || at->second == batch) << "a resent batch differs from the first";
}

std::uint32_t Client::start() {
  EXPECT_EQ(ask<fp::Configured>(fp::Configure{1, {0, 1}, 10}).batch_samples, 10);
  return ask<fp::Acknowledge>(fp::Start{2}).sequence;
}

void Client::listen_for_samples(std::size_t n) {
  if (samples() >= n) return;
  listen([&](const fp::Frame&) { return samples() >= n; });
}

void Client::listen_for_batch(std::uint32_t sequence) {
  listen([&](const fp::Frame&) { return batches.lower_bound(sequence) != batches.end(); });
}

// Answers and resent batches may be corrupted too, so both are asked for until they come.
void Client::stop_and_complete(std::uint32_t first) {
  constexpr std::chrono::milliseconds kPatience{200};
  fp::Acknowledge end;
  const auto is_end = [&](const fp::Frame& frame) {
    return frame.type == fp::Acknowledge::kType && fp::decode_payload(frame.payload, end) &&
           end.acknowledged == fp::MessageType::stop;
  };
  bool stopped = false;
  for (int i = 0; i < 50 && !stopped && !gone_; ++i) {
    say(fp::Stop{3});
    stopped = listen(is_end, kPatience);
  }
  ASSERT_TRUE(stopped);
  const auto complete = [&] {
    std::uint32_t missing = 0;
    for (std::uint32_t s = first; s < end.sequence; ++s) missing += batches.contains(s) ? 0U : 1U;
    return missing == 0;
  };
  for (int i = 0; i < 100 && !complete() && !gone_; ++i) {
    int asked = 0;
    for (std::uint32_t s = first; s < end.sequence && asked < 4; ++s) {
      if (batches.contains(s)) continue;
      say(fp::ResendRequest{4, s, s});
      ++asked;
    }
    listen([&](const fp::Frame&) { return complete(); }, kPatience / 4);
  }
  ASSERT_TRUE(complete()) << "batches up to " << end.sequence << " did not come";
}

Client::Heard Client::heard(std::uint32_t first) const {
  Heard heard;
  for (auto at = batches.lower_bound(first); at != batches.end(); ++at) {
    for (std::size_t i = 0; i < at->second.count; ++i) {
      heard.counts.push_back(at->second.samples[i]);
      heard.ticks.push_back(static_cast<std::int64_t>(at->second.tick_of(i)));
    }
  }
  return heard;
}

}  // namespace strapline::acquisition::testing
