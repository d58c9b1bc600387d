#include "hdf5/group.hpp"

namespace strapline::recordings::h5 {
namespace {

herr_t add_name(hid_t, const char* name, const H5L_info_t*, void* out) {
  try {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
  } catch (...) {
    return -1;  // never through C frames
  }
  return 0;
}

}  // namespace

Handle create_group(hid_t parent, const std::string& name) {
  const Handle creation = owned(H5Pcreate(H5P_GROUP_CREATE), "cannot make a group");
  require(H5Pset_obj_track_times(creation.get(), false), "cannot make a group");
  // Names beside each other in the group's header: a table has some twenty columns, and HDF5 would
  // look up each through a tree and a heap of its own.
  constexpr unsigned kMostBesideEachOther = 64;
  require(H5Pset_link_phase_change(creation.get(), kMostBesideEachOther, kMostBesideEachOther / 2),
          "cannot make a group");
  return owned(H5Gcreate2(parent, name.c_str(), H5P_DEFAULT, creation.get(), H5P_DEFAULT),
               "cannot make the group", path_of(parent, name));
}

Handle open_group(hid_t parent, const std::string& name) {
  if (!has_child(parent, name)) raise("this group is missing", path_of(parent, name));
  return owned(H5Gopen2(parent, name.c_str(), H5P_DEFAULT), "cannot read this group",
               path_of(parent, name));
}

bool has_child(hid_t parent, const std::string& name) {
  const htri_t found = H5Lexists(parent, name.c_str(), H5P_DEFAULT);
  if (found < 0) raise_hdf5("cannot read this group", path_of(parent));
  return found > 0;
}

bool is_group(hid_t parent, const std::string& name) {
  const Handle object =
      owned(H5Oopen(parent, name.c_str(), H5P_DEFAULT), "cannot be read", path_of(parent, name));
  return H5Iget_type(object.get()) == H5I_GROUP;
}

std::vector<std::string> child_names(hid_t parent) {
  std::vector<std::string> names;
  require(H5Literate(parent, H5_INDEX_NAME, H5_ITER_INC, nullptr, add_name, &names),
          "cannot list this group", path_of(parent));
  return names;
}

void remove_child(hid_t parent, const std::string& name) {
  require(H5Ldelete(parent, name.c_str(), H5P_DEFAULT), "cannot remove", path_of(parent, name));
}

}  // namespace strapline::recordings::h5
