#include "hdf5/attribute.hpp"

#include <array>

#include "hdf5/text_type.hpp"

namespace strapline::recordings::h5 {
namespace {

void write(hid_t object, const std::string& name, hid_t file_type, hid_t memory_type,
           const Handle& space, const void* value) {
  const Handle attribute =
      owned(H5Acreate2(object, name.c_str(), file_type, space.get(), H5P_DEFAULT, H5P_DEFAULT),
            "cannot add the attribute " + name, path_of(object));
  require(H5Awrite(attribute.get(), memory_type, value), "cannot write the attribute " + name,
          path_of(object));
}

Handle scalar() { return owned(H5Screate(H5S_SCALAR), "cannot describe a value"); }

std::optional<Handle> find(hid_t object, const std::string& name) {
  const htri_t exists = H5Aexists(object, name.c_str());
  if (exists < 0) raise_hdf5("cannot read the attributes", path_of(object));
  if (exists == 0) return std::nullopt;
  return owned(H5Aopen(object, name.c_str(), H5P_DEFAULT), "cannot read the attribute " + name,
               path_of(object));
}

[[noreturn]] void wrong_kind(hid_t object, const std::string& name, const char* kind) {
  raise("the attribute " + name + " is not " + kind, path_of(object));
}

std::size_t count_of(const Handle& attribute) {
  const Handle space = owned(H5Aget_space(attribute.get()), "cannot read an attribute");
  const hssize_t count = H5Sget_simple_extent_npoints(space.get());
  return count < 0 ? 0 : static_cast<std::size_t>(count);
}

H5T_class_t class_of(const Handle& attribute) {
  const Handle type = owned(H5Aget_type(attribute.get()), "cannot read an attribute");
  return H5Tget_class(type.get());
}

template <class T>
std::vector<T> read(hid_t object, const std::string& name, const Handle& attribute, hid_t type) {
  std::vector<T> values(count_of(attribute));
  require(H5Aread(attribute.get(), type, values.data()), "cannot read the attribute " + name,
          path_of(object));
  return values;
}

template <class T>
std::optional<T> find_whole(hid_t object, const std::string& name, hid_t type) {
  const auto attribute = find(object, name);
  if (!attribute) return std::nullopt;
  if (class_of(*attribute) != H5T_INTEGER || count_of(*attribute) != 1) {
    wrong_kind(object, name, "one whole number");
  }
  return read<T>(object, name, *attribute, type).front();
}

[[noreturn]] void missing(hid_t object, const std::string& name) {
  raise("the attribute " + name + " is missing", path_of(object));
}

herr_t add_name(hid_t, const char* name, const H5A_info_t*, void* out) {
  try {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
  } catch (...) {
    return -1;  // never through C frames
  }
  return 0;
}

}  // namespace

void set_real(hid_t object, const std::string& name, double value) {
  write(object, name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, scalar(), &value);
}

void set_reals(hid_t object, const std::string& name, std::span<const double> values) {
  const hsize_t size = values.size();
  const Handle space = owned(H5Screate_simple(1, &size, nullptr), "cannot describe values");
  write(object, name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, space, values.data());
}

void set_integer(hid_t object, const std::string& name, std::int64_t value) {
  write(object, name, H5T_STD_I64LE, H5T_NATIVE_INT64, scalar(), &value);
}

void set_unsigned(hid_t object, const std::string& name, std::uint64_t value) {
  write(object, name, H5T_STD_U64LE, H5T_NATIVE_UINT64, scalar(), &value);
}

void set_text(hid_t object, const std::string& name, std::string_view text) {
  const Handle type = fixed_text_type(text.size());
  const std::string padded(text.empty() ? std::string_view("\0", 1) : text);
  write(object, name, type.get(), type.get(), scalar(), padded.data());
}

void set_if(hid_t object, const std::string& name, const std::optional<double>& value) {
  if (value) set_real(object, name, *value);
}

void set_if(hid_t object, const std::string& name, const std::string& text) {
  if (!text.empty()) set_text(object, name, text);
}

std::optional<std::vector<double>> find_reals(hid_t object, const std::string& name) {
  const auto attribute = find(object, name);
  if (!attribute) return std::nullopt;
  const H5T_class_t kind = class_of(*attribute);
  if (kind != H5T_FLOAT && kind != H5T_INTEGER) wrong_kind(object, name, "a number");
  return read<double>(object, name, *attribute, H5T_NATIVE_DOUBLE);
}

void remove_attribute(hid_t object, const std::string& name) {
  if (!find(object, name)) return;
  require(H5Adelete(object, name.c_str()), "cannot remove the attribute " + name, path_of(object));
}

std::optional<double> find_real(hid_t object, const std::string& name) {
  const auto values = find_reals(object, name);
  if (!values) return std::nullopt;
  if (values->size() != 1) wrong_kind(object, name, "one number");
  return values->front();
}

std::optional<std::int64_t> find_integer(hid_t object, const std::string& name) {
  return find_whole<std::int64_t>(object, name, H5T_NATIVE_INT64);
}

std::optional<std::uint64_t> find_unsigned(hid_t object, const std::string& name) {
  return find_whole<std::uint64_t>(object, name, H5T_NATIVE_UINT64);
}

std::optional<std::string> find_text(hid_t object, const std::string& name) {
  const auto attribute = find(object, name);
  if (!attribute) return std::nullopt;
  const Handle type = owned(H5Aget_type(attribute->get()), "cannot read an attribute");
  if (H5Tget_class(type.get()) != H5T_STRING || count_of(*attribute) != 1) {
    wrong_kind(object, name, "one text");
  }
  if (H5Tis_variable_str(type.get()) > 0) {
    VariableTexts texts(1);
    const Handle memory = variable_text_type();
    require(H5Aread(attribute->get(), memory.get(), texts.data()),
            "cannot read the attribute " + name, path_of(object));
    return texts.text(0);
  }
  std::string text(H5Tget_size(type.get()), '\0');
  require(H5Aread(attribute->get(), type.get(), text.data()), "cannot read the attribute " + name,
          path_of(object));
  return trimmed(text, type);
}

double need_real(hid_t object, const std::string& name) {
  const auto value = find_real(object, name);
  if (!value) missing(object, name);
  return *value;
}

std::int64_t need_integer(hid_t object, const std::string& name) {
  const auto value = find_integer(object, name);
  if (!value) missing(object, name);
  return *value;
}

std::string need_text(hid_t object, const std::string& name) {
  auto value = find_text(object, name);
  if (!value) missing(object, name);
  return *value;
}

std::vector<std::string> attribute_names(hid_t object) {
  std::vector<std::string> names;
  require(H5Aiterate2(object, H5_INDEX_NAME, H5_ITER_INC, nullptr, add_name, &names),
          "cannot list the attributes", path_of(object));
  return names;
}

}  // namespace strapline::recordings::h5
