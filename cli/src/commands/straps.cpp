#include <algorithm>
#include <memory>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "strapline/acquisition/serial_ports.hpp"
#include "strapline/recordings/calibration_store.hpp"

#include "../calibration_folder.hpp"
#include "../command.hpp"
#include "../live/strap_probe.hpp"
#include "../option_range.hpp"

namespace strapline::cli {
namespace {

namespace acq = acquisition;

struct Options {
  std::vector<std::string> addresses;
  bool probe = false;
  double timeout_s = 2.0;
  bool json = false;
  std::string calibrations;  ///< folder; empty: the usual one
};

/// One line of the list: a port, an answer, or both.
struct Entry {
  std::string address;
  std::optional<acq::SerialPortInfo> port;
  std::optional<ProbeResult> answer;
  std::string calibrated_utc = {};  ///< of the strap that answered; empty: never
};

std::string version_text(std::uint32_t version) {
  return fmt::format("{}.{}.{}", version >> 16U, (version >> 8U) & 0xFFU, version & 0xFFU);
}

std::string part_of(const firmware_protocol::Identity& identity) {
  return {identity.part_name.text.data(), identity.part_name.length};
}

double rate_of(const firmware_protocol::Identity& identity) {
  return static_cast<double>(identity.rate.numerator) / identity.rate.denominator;
}

std::string answer_text(const ProbeResult& answer, const std::string& calibrated) {
  if (!answer.identity) return "no strap: " + answer.why_not;
  const auto& id = *answer.identity;
  return fmt::format(
      "strap {:016x}, firmware {}, {:.4g} Hz{}{}, {}", id.device_id,
      version_text(id.firmware_version), rate_of(id),
      id.part_name.length > 0 ? ", part " + part_of(id) : "",
      answer.battery_percent ? fmt::format(", battery {} %", *answer.battery_percent) : "",
      calibrated.empty() ? "not calibrated" : "calibrated " + calibrated.substr(0, 10));
}

std::string as_text(const std::vector<Entry>& entries) {
  std::string text;
  for (const Entry& entry : entries) {
    std::string line = entry.address;
    if (entry.port && !entry.port->description.empty()) {
      line += fmt::format("  {} ({})", entry.port->description, entry.port->transport);
    }
    if (entry.answer) line += "  " + answer_text(*entry.answer, entry.calibrated_utc);
    text += line + '\n';
  }
  return text;
}

nlohmann::json as_json(const Entry& entry) {
  nlohmann::json object = {{"address", entry.address}};
  if (entry.port) {
    object["description"] = entry.port->description;
    object["transport"] = entry.port->transport;
    object["usb_serial_number"] = entry.port->usb_serial_number;
  }
  if (!entry.answer) return object;
  if (!entry.answer->identity) {
    object["no_strap"] = entry.answer->why_not;
    return object;
  }
  const auto& id = *entry.answer->identity;
  object["strap"] = {{"device_id", fmt::format("{:016x}", id.device_id)},
                     {"firmware", version_text(id.firmware_version)},
                     {"rate_hz", rate_of(id)},
                     {"part", part_of(id)},
                     {"acc_scale", 1e-12 * static_cast<double>(id.acc_scale_pico)},
                     {"gyr_scale", 1e-12 * static_cast<double>(id.gyr_scale_pico)}};
  object["strap"]["calibrated_utc"] =
      entry.calibrated_utc.empty() ? nlohmann::json() : nlohmann::json(entry.calibrated_utc);
  if (entry.answer->battery_percent) {
    object["strap"]["battery_percent"] = *entry.answer->battery_percent;
  }
  return object;
}

dsp::Result<std::vector<Entry>> list(const Options& options) {
  std::vector<Entry> entries;
  auto ports = acq::list_serial_ports();
  // Where addresses are given, ports that cannot be listed do not matter.
  if (!ports && options.addresses.empty()) {
    return dsp::fail(ports.error().what, ports.error().where, ports.error().todo);
  }
  std::vector<acq::Address> asked;
  if (ports && options.addresses.empty()) {
    for (auto& port : *ports) {
      if (options.probe) asked.push_back({acq::Address::Kind::kSerial, port.path, "", 0});
      entries.push_back({port.path, port, std::nullopt});
    }
  }
  for (const std::string& text : options.addresses) {
    const auto address = acq::parse_address(text);
    if (!address)
      return dsp::fail(address.error().what, address.error().where, address.error().todo);
    asked.push_back(*address);
    entries.push_back({text, std::nullopt, std::nullopt});
  }
  auto answers = probe(asked, options.timeout_s);
  for (std::size_t i = 0; i < answers.size(); ++i) entries[i].answer = std::move(answers[i]);
  return entries;
}

/// Looks up when each strap that answered was calibrated; a file that cannot be read is said.
void date_calibrations(const Options& options, std::vector<Entry>& entries, std::ostream& err) {
  for (Entry& entry : entries) {
    if (!entry.answer || !entry.answer->identity) continue;
    const auto stored = recordings::find_calibration(calibration_folder(options.calibrations),
                                                     entry.answer->identity->device_id);
    if (!stored) {
      err << "strapline: " << stored.error().line() << '\n';
    } else if (*stored) {
      entry.calibrated_utc = (*stored)->calibration.made_utc;
    }
  }
}

void straps(const Options& options, Run& run) {
  auto entries = list(options);
  if (!entries) return run.fail(entries.error());
  date_calibrations(options, *entries, run.console.err);
  if (options.json) {
    nlohmann::json all = nlohmann::json::array();
    for (const Entry& entry : *entries) all.push_back(as_json(entry));
    run.console.out << nlohmann::json{{"straps", all}}.dump(2) << '\n';
  } else {
    run.console.out << as_text(*entries);
  }
  const bool asked = options.probe || !options.addresses.empty();
  const bool answered = std::any_of(entries->begin(), entries->end(), [](const Entry& entry) {
    return entry.answer && entry.answer->identity;
  });
  const bool only_built_in = std::all_of(entries->begin(), entries->end(), [](const Entry& entry) {
    return entry.port && entry.port->transport == "native";
  });
  if (!asked && only_built_in) {
    run.fail("no strap is attached", "", "plug one in, or give its address, say tcp:host:port");
  } else if (asked && !answered) {
    run.fail("no strap answers", "", "check that it is switched on and charged");
  }
}

}  // namespace

void add_straps(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand("straps", "Say what is attached");
  const auto options = std::make_shared<Options>();
  command->add_option("address", options->addresses,
                      "Ask here instead of listing the serial ports: /dev/ttyACM0, tcp:host:port");
  command->add_flag("--probe", options->probe,
                    "Ask every serial port whether a strap is there (writes a few bytes to each)");
  command->add_option("--timeout", options->timeout_s, "How long to wait for an answer, s")
      ->check(between(0.1, 60.0))
      ->capture_default_str();
  command->add_option("--calibrations", options->calibrations, "Where calibrations are kept")
      ->type_name("FOLDER");
  command->add_flag("--json", options->json, "Print JSON");
  command->callback([options, &run] { straps(*options, run); });
}

}  // namespace strapline::cli
