#include <algorithm>
#include <fstream>
#include <map>
#include <numeric>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/firmware_protocol/frame.hpp"
#include "strapline/firmware_protocol/messages.hpp"

#include "wire_samples.hpp"

namespace strapline::firmware_protocol {
namespace {

using Row = std::vector<std::string>;

std::string trimmed(const std::string& text) {
  const auto from = text.find_first_not_of(' ');
  return from == std::string::npos ? "" : text.substr(from, text.find_last_not_of(' ') - from + 1);
}

/// The tables of PROTOCOL.md, keyed by the heading that they stand under and their first column's
/// title; rows without the title and the ruler.
std::map<std::string, std::vector<Row>> tables() {
  std::ifstream file(STRAPLINE_PROTOCOL_MD);
  std::map<std::string, std::vector<Row>> all;
  std::string heading, key, line;
  while (std::getline(file, line)) {
    if (line.starts_with("#")) heading = line.substr(line.find(' ') + 1);
    if (!line.starts_with("|")) {
      key.clear();
      continue;
    }
    Row row;
    std::stringstream cells(line.substr(1));
    for (std::string cell; std::getline(cells, cell, '|');) row.push_back(trimmed(cell));
    if (key.empty()) {
      key = heading + "/" + row[0];
      all[key];
    } else if (!row[0].starts_with("---")) {
      all[key].push_back(row);
    }
  }
  return all;
}

std::map<std::string, long> numbers(const std::string& key) {
  const auto all = tables();
  std::map<std::string, long> result;
  const auto found = all.find(key);
  if (found == all.end()) return result;
  for (const Row& row : found->second) result[row.at(0)] = std::stol(row.at(1));
  return result;
}

TEST(ProtocolDocument, Constants) {
  const std::map<std::string, long> expected = {
      {"protocol version", kProtocolVersion},
      {"delimiter", kDelimiter},
      {"header bytes", kHeaderBytes},
      {"check bytes", kCheckBytes},
      {"largest frame before COBS", kMaxFrameBytes},
      {"largest payload", kMaxPayloadBytes},
      {"largest frame on the wire", kMaxEncodedFrameBytes},
      {"samples in a batch, at most", kMaxBatchSamples},
      {"channels", kChannels},
      {"part name, at most", kMaxPartNameBytes},
      {"unknown battery", kUnknownBattery},
      {"unknown temperature", kUnknownTemperature},
      {"batch flag: resent", kBatchResent}};
  EXPECT_EQ(numbers("Frame/constant"), expected);
}

TEST(ProtocolDocument, States) {
  const std::map<std::string, long> expected = {{"idle", long(DeviceState::idle)},
                                                {"configured", long(DeviceState::configured)},
                                                {"streaming", long(DeviceState::streaming)}};
  EXPECT_EQ(numbers("States/state"), expected);
}

TEST(ProtocolDocument, Reasons) {
  const std::map<std::string, long> expected = {
      {"malformed", long(RefuseReason::malformed)},
      {"not_configured", long(RefuseReason::not_configured)},
      {"streaming", long(RefuseReason::streaming)},
      {"unsupported_rate", long(RefuseReason::unsupported_rate)},
      {"unsupported_batch", long(RefuseReason::unsupported_batch)},
      {"batch_gone", long(RefuseReason::batch_gone)},
      {"batch_not_sent", long(RefuseReason::batch_not_sent)},
      {"busy", long(RefuseReason::busy)}};
  EXPECT_EQ(numbers("Reasons/reason"), expected);
}

const std::map<MessageType, std::string>& names() {
  static const std::map<MessageType, std::string> all = {
      {MessageType::identify, "identify"},
      {MessageType::configure, "configure"},
      {MessageType::start, "start"},
      {MessageType::stop, "stop"},
      {MessageType::clock_ping, "clock_ping"},
      {MessageType::resend_request, "resend_request"},
      {MessageType::identity, "identity"},
      {MessageType::configured, "configured"},
      {MessageType::acknowledge, "acknowledge"},
      {MessageType::refuse, "refuse"},
      {MessageType::clock_pong, "clock_pong"},
      {MessageType::status, "status"},
      {MessageType::sample_batch, "sample_batch"}};
  return all;
}

/// Field widths by the document's own type names.
std::vector<std::size_t> widths(const std::vector<Row>& fields) {
  const std::map<std::string, std::size_t> bytes = {
      {"u8", 1}, {"u16", 2}, {"i16", 2}, {"u32", 4}, {"u64", 8}};
  std::vector<std::size_t> result;
  for (const Row& row : fields) result.push_back(bytes.at(row.at(1)));
  return result;
}

TEST(ProtocolDocument, TypesAndSizesOfMessages) {
  const auto all = tables();
  ASSERT_TRUE(all.contains("Messages/message"));
  const auto& rows = all.at("Messages/message");
  EXPECT_EQ(rows.size(), names().size());
  samples::for_each_message([&]<class Message>(const Message&) {
    const std::string& name = names().at(Message::kType);
    const auto row =
        std::find_if(rows.begin(), rows.end(), [&](const Row& r) { return r[0] == name; });
    ASSERT_NE(row, rows.end()) << name;
    EXPECT_EQ(std::stol(row->at(1)), long(Message::kType)) << name;
    EXPECT_EQ(std::stoul(row->at(2)), Message::kBytes) << name;
    ASSERT_TRUE(all.contains(name + "/field")) << name;
    const auto fields = widths(all.at(name + "/field"));
    EXPECT_EQ(std::accumulate(fields.begin(), fields.end(), std::size_t{0}), Message::kBytes)
        << name;
  });
}

}  // namespace
}  // namespace strapline::firmware_protocol
