#include "description_group.hpp"

#include "hdf5/attribute.hpp"

namespace strapline::recordings {
namespace {

template <class Value>
void replace(hid_t group, const std::string& name, const Value& value) {
  h5::remove_attribute(group, name);
  h5::set_if(group, name, value);
}

}  // namespace

void write_set(hid_t set_group, const SetDescription& set) {
  replace(set_group, "client", set.client);
  replace(set_group, "movement", set.movement);
  replace(set_group, "variation", set.variation);
  replace(set_group, "kit", set.kit);
  replace(set_group, "started_utc", set.started_utc);
  replace(set_group, "load_kg", set.load_kg);
  replace(set_group, "effort_rpe", set.effort_rpe);
  replace(set_group, "reps_in_reserve", set.reps_in_reserve);
  replace(set_group, "pain_0_to_10", set.pain);
  replace(set_group, "pain_place", set.pain_place);
  replace(set_group, "notes", set.notes);
}

SetDescription read_set(hid_t set_group) {
  SetDescription set;
  set.client = h5::need_text(set_group, "client");
  set.movement = h5::need_text(set_group, "movement");
  set.variation = h5::find_text(set_group, "variation").value_or("");
  set.kit = h5::find_text(set_group, "kit").value_or("");
  set.started_utc = h5::find_text(set_group, "started_utc").value_or("");
  set.load_kg = h5::find_real(set_group, "load_kg");
  set.effort_rpe = h5::find_real(set_group, "effort_rpe");
  set.reps_in_reserve = h5::find_real(set_group, "reps_in_reserve");
  set.pain = h5::find_real(set_group, "pain_0_to_10");
  set.pain_place = h5::find_text(set_group, "pain_place").value_or("");
  set.notes = h5::find_text(set_group, "notes").value_or("");
  return set;
}

}  // namespace strapline::recordings
