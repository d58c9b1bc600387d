#include <map>

#include "strapline/acquisition/session_result.hpp"

#include "strap_ledger.hpp"

namespace strapline::acquisition {
namespace {

constexpr double kNs = 1e-9;

struct StrapFile {
  StrapDeclaration declared;
  StrapLedger ledger;
};

class Assembler {
 public:
  explicit Assembler(const Journal& journal) : origin_ns_(journal.origin_host_ns) {
    for (const JournalRecord& record : journal.records) take(record);
  }

  [[nodiscard]] std::vector<StrapResult> straps() const {
    std::vector<StrapResult> results;
    for (const auto& [index, strap] : straps_) {
      results.resize(std::size_t{index} + 1);
      results[index] = strap.ledger.result();
      results[index].label = strap.declared.label;
      results[index].address = strap.declared.address;
    }
    return results;
  }

  [[nodiscard]] const std::vector<PartMark>& marks() const { return marks_; }

 private:
  void take(const JournalRecord& record) {
    switch (record.kind) {
      case JournalKind::kStrap:
        if (const auto declared = parse_strap_declaration(record)) of(record).declared = *declared;
        break;
      case JournalKind::kFrame:
        of(record).ledger.take(record.host_ns, record.payload);
        break;
      case JournalKind::kLink:
        if (!record.payload.empty()) {
          of(record).ledger.link_event(static_cast<LinkEvent>(record.payload[0]));
        }
        break;
      case JournalKind::kMark:
        marks_.push_back({static_cast<double>(record.host_ns - origin_ns_) * kNs, record.text()});
        break;
      default:
        break;  // kEnd, kSession: nothing to add; later versions' kinds are ignored
    }
  }

  StrapFile& of(const JournalRecord& record) {
    return straps_.try_emplace(record.strap, StrapFile{{}, StrapLedger(origin_ns_)}).first->second;
  }

  std::int64_t origin_ns_;
  std::map<std::uint16_t, StrapFile> straps_;
  std::vector<PartMark> marks_;
};

}  // namespace

SessionResult assemble(const Journal& journal) {
  const Assembler assembler(journal);
  SessionResult result;
  result.metadata = journal.metadata;
  result.origin_host_ns = journal.origin_host_ns;
  result.straps = assembler.straps();
  result.marks = assembler.marks();
  result.ended = journal.ended;
  result.torn_bytes = journal.torn_bytes;
  result.damaged_bytes = journal.damaged_bytes;
  return result;
}

Result<SessionResult> assemble_from_journal(const std::string& path) {
  const auto journal = read_journal(path);
  if (!journal) return tl::make_unexpected(journal.error());
  return assemble(*journal);
}

}  // namespace strapline::acquisition
