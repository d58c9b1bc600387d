#include "strapline/coaching/rep_listing.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "strapline/coaching/measure_catalogue.hpp"

namespace strapline::coaching {
namespace {

/// " (reps 2, 3)", or nothing where it is all of them.
std::string which_reps(const std::vector<std::string>& labels, std::size_t all) {
  if (labels.size() == all) return {};
  std::string text = labels.size() == 1 ? " (rep " : " (reps ";
  for (std::size_t i = 0; i < labels.size(); ++i) text += (i == 0 ? "" : ", ") + labels[i];
  return text + ")";
}

/// By reason, the labels of the reps that lack this measure.
std::map<std::string, std::vector<std::string>> reps_lacking(const std::vector<dsp::Rep>& reps,
                                                             const std::string& name) {
  const std::vector<std::string> labels = rep_labels(reps);
  std::map<std::string, std::vector<std::string>> by_reason;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const auto found = reps[i].measures.find(name);
    if (found == reps[i].measures.end()) continue;
    const auto* missing = std::get_if<dsp::NotMeasured>(&found->second);
    if (missing != nullptr) by_reason[missing->reason].push_back(labels[i]);
  }
  return by_reason;
}

}  // namespace

std::vector<std::string> rep_labels(const std::vector<dsp::Rep>& reps) {
  std::vector<std::string> labels;
  int full = 0;
  for (const dsp::Rep& rep : reps) labels.push_back(rep.part ? "part" : std::to_string(++full));
  return labels;
}

std::string count_reps(const std::vector<dsp::Rep>& reps) {
  const auto part =
      std::count_if(reps.begin(), reps.end(), [](const dsp::Rep& rep) { return rep.part; });
  const auto full = static_cast<std::ptrdiff_t>(reps.size()) - part;
  const std::string text = std::to_string(full);
  return part == 0 ? text : text + " full, " + std::to_string(part) + " part";
}

std::vector<std::string> measure_names(const std::vector<dsp::Rep>& reps) {
  std::set<std::string> names;
  for (const dsp::Rep& rep : reps) {
    for (const auto& [name, measure] : rep.measures) names.insert(name);
  }
  std::vector<std::string> shown(names.begin(), names.end());
  std::stable_sort(shown.begin(), shown.end(), shown_before);
  return shown;
}

const dsp::MeasuredValue* measured(const dsp::Rep& rep, const std::string& name) {
  const auto found = rep.measures.find(name);
  return found == rep.measures.end() ? nullptr : std::get_if<dsp::MeasuredValue>(&found->second);
}

std::vector<NotMeasuredGroup> not_measured(const std::vector<dsp::Rep>& reps) {
  std::vector<NotMeasuredGroup> groups;
  for (const std::string& name : measure_names(reps)) {
    for (const auto& entry : reps_lacking(reps, name)) {
      const auto& [reason, labels] = entry;
      auto group = std::find_if(groups.begin(), groups.end(),
                                [&](const auto& known) { return known.reason == entry.first; });
      if (group == groups.end()) group = groups.insert(group, {reason, ""});
      group->measures += (group->measures.empty() ? "" : "; ") + measure_title(name) +
                         which_reps(labels, reps.size());
    }
  }
  return groups;
}

}  // namespace strapline::coaching
