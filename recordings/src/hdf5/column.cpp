#include "hdf5/column.hpp"

#include <algorithm>
#include <bit>
#include <cstring>
#include <type_traits>

#include "hdf5/attribute.hpp"
#include "hdf5/group.hpp"
#include "hdf5/text_type.hpp"

namespace strapline::recordings::h5 {
namespace {

constexpr hsize_t kChunkRows = 4096;
// Of a column that can grow: whoever reads a few rows inflates whole chunks, and the last one is
// filled up with rows that are not there.
constexpr hsize_t kGrowingChunkRows = 1024;
constexpr hsize_t kLeastGrowingChunkRows = 16;
constexpr hsize_t kChunkBytes = 1 << 18;  // a chunk is held in memory whole

template <class T>
hid_t memory_type() {
  if constexpr (std::is_same_v<T, double>) return H5T_NATIVE_DOUBLE;
  if constexpr (std::is_same_v<T, std::int32_t>) return H5T_NATIVE_INT32;
  if constexpr (std::is_same_v<T, std::int64_t>) return H5T_NATIVE_INT64;
  if constexpr (std::is_same_v<T, std::uint8_t>) return H5T_NATIVE_UINT8;
}

template <class T>
hid_t file_type() {
  if constexpr (std::is_same_v<T, double>) return H5T_IEEE_F64LE;
  if constexpr (std::is_same_v<T, std::int32_t>) return H5T_STD_I32LE;
  if constexpr (std::is_same_v<T, std::int64_t>) return H5T_STD_I64LE;
  if constexpr (std::is_same_v<T, std::uint8_t>) return H5T_STD_U8LE;
}

Handle storage(const std::vector<hsize_t>& size, std::size_t value_bytes, bool growing) {
  std::vector<hsize_t> chunk = size;
  const hsize_t row_bytes = value_bytes * (size.size() > 1 ? size[1] : 1);
  const hsize_t most = std::clamp<hsize_t>(kChunkBytes / row_bytes, 1, kChunkRows);
  const hsize_t rounded = std::bit_ceil(std::max(size[0], kLeastGrowingChunkRows));
  chunk[0] = std::min(most, growing ? std::min(rounded, kGrowingChunkRows) : size[0]);
  Handle plan = owned(H5Pcreate(H5P_DATASET_CREATE), "cannot prepare a data set");
  const hid_t id = plan.get();
  require(H5Pset_obj_track_times(id, false), "cannot prepare a data set");
  require(H5Pset_chunk(id, static_cast<int>(chunk.size()), chunk.data()), "cannot chunk");
  require(H5Pset_shuffle(id), "cannot shuffle");
  require(H5Pset_deflate(id, 6), "cannot compress");
  require(H5Pset_fletcher32(id), "cannot add checksums");
  return plan;
}

struct Types {
  hid_t file;
  hid_t memory;
};

void write(hid_t group, const std::string& name, std::vector<hsize_t> size, const Types& types,
           const void* values, const ColumnStyle& style) {
  const std::string where = path_of(group, name);
  // An empty data set cannot be chunked with fixed borders, so it is left open.
  const bool growing = style.extendible || size[0] == 0;
  std::vector<hsize_t> limit = size;
  if (growing) limit[0] = H5S_UNLIMITED;
  const Handle space =
      owned(H5Screate_simple(static_cast<int>(size.size()), size.data(), limit.data()),
            "cannot describe the data set", where);
  const Handle plan = storage(size, H5Tget_size(types.file), growing);
  const Handle data = owned(H5Dcreate2(group, name.c_str(), types.file, space.get(), H5P_DEFAULT,
                                       plan.get(), H5P_DEFAULT),
                            "cannot make the data set", where);
  if (size[0] > 0) {
    require(H5Dwrite(data.get(), types.memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, values),
            "cannot write the data set", where);
  }
  set_if(data.get(), "unit", style.unit);
}

std::vector<hsize_t> size_of(const Handle& data, std::size_t rank, const std::string& where) {
  const Handle space = owned(H5Dget_space(data.get()), "cannot read the data set", where);
  const int found = H5Sget_simple_extent_ndims(space.get());
  if (found != static_cast<int>(rank)) {
    raise("has " + std::to_string(found) + " dimensions, not " + std::to_string(rank), where);
  }
  std::vector<hsize_t> size(rank);
  H5Sget_simple_extent_dims(space.get(), size.data(), nullptr);
  return size;
}

void read(const Handle& data, hid_t type, void* values, const std::string& where) {
  if (H5Dread(data.get(), type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) < 0) {
    raise_hdf5("the data is damaged", where);
  }
}

// Range after range into one block.
void read(const Handle& data, hid_t type, void* values, const RowChoice& rows,
          const std::string& where) {
  const Handle space = owned(H5Dget_space(data.get()), "cannot read the data set", where);
  const std::size_t width = H5Tget_size(type);
  auto* into = static_cast<std::byte*>(values);
  for (const Rows& range : rows.ranges) {
    if (range.count == 0) continue;
    const hsize_t first = range.first;
    const hsize_t count = range.count;
    require(H5Sselect_hyperslab(space.get(), H5S_SELECT_SET, &first, nullptr, &count, nullptr),
            "does not have these rows", where);
    const Handle block = owned(H5Screate_simple(1, &count, nullptr), "cannot describe rows");
    if (H5Dread(data.get(), type, block.get(), space.get(), H5P_DEFAULT, into) < 0) {
      raise_hdf5("the data is damaged", where);
    }
    into += range.count * width;
  }
}

void check_rows(const Handle& data, const RowChoice& rows, const std::string& where) {
  const std::size_t found = size_of(data, 1, where)[0];
  if (found == rows.table_rows) return;
  raise("has " + std::to_string(found) + " rows, the table " + std::to_string(rows.table_rows),
        where);
}

// A conversion must not lose anything in silence: whole numbers only into whole numbers that are
// at least as wide.
void check_kind(const Handle& data, bool wants_real, std::size_t bytes, const std::string& where) {
  const Handle type = owned(H5Dget_type(data.get()), "cannot read the data set", where);
  const H5T_class_t kind = H5Tget_class(type.get());
  const bool whole = kind == H5T_INTEGER;
  const std::size_t width = H5Tget_size(type.get());
  const bool fits = width < bytes || (width == bytes && H5Tget_sign(type.get()) == H5T_SGN_2) ||
                    (width == bytes && bytes == 1);
  if (wants_real ? kind != H5T_FLOAT && !whole : !whole || !fits) {
    raise(wants_real
              ? "does not hold numbers"
              : "does not hold whole numbers of at most " + std::to_string(8 * bytes) + " bits",
          where);
  }
}

void check_unit(const Handle& data, const std::string& unit, const std::string& where) {
  if (unit.empty()) return;
  const auto found = find_text(data.get(), "unit");
  if (!found) raise("the attribute unit is missing", where, "expected \"" + unit + "\"");
  if (*found != unit) raise("is in \"" + *found + "\", not in \"" + unit + "\"", where);
}

}  // namespace

Handle open_data(hid_t group, const std::string& name) {
  const std::string where = path_of(group, name);
  if (!has_child(group, name)) raise("this data set is missing", where);
  return owned(H5Dopen2(group, name.c_str(), H5P_DEFAULT), "cannot read this data set", where);
}

template <class T>
void write_column(hid_t group, const std::string& name, std::span<const T> values,
                  const ColumnStyle& style) {
  write(group, name, {values.size()}, {file_type<T>(), memory_type<T>()}, values.data(), style);
}

void write_texts(hid_t group, const std::string& name, const std::vector<std::string>& values,
                 const ColumnStyle& style) {
  std::size_t width = 1;
  for (const std::string& text : values) width = std::max(width, text.size());
  std::vector<char> packed(width * values.size(), '\0');
  for (std::size_t i = 0; i < values.size(); ++i) {
    std::memcpy(packed.data() + i * width, values[i].data(), values[i].size());
  }
  const Handle type = fixed_text_type(width);
  write(group, name, {values.size()}, {type.get(), type.get()}, packed.data(), style);
}

void write_table(hid_t group, const std::string& name, std::span<const std::int32_t> values,
                 std::size_t columns, const ColumnStyle& style) {
  write(group, name, {values.size() / columns, columns}, {H5T_STD_I32LE, H5T_NATIVE_INT32},
        values.data(), style);
}

template <class T>
std::vector<T> read_column(hid_t group, const std::string& name, const std::string& unit) {
  const std::string where = path_of(group, name);
  const Handle data = open_data(group, name);
  check_kind(data, std::is_floating_point_v<T>, sizeof(T), where);
  check_unit(data, unit, where);
  std::vector<T> values(size_of(data, 1, where)[0]);
  read(data, memory_type<T>(), values.data(), where);
  return values;
}

std::vector<std::string> read_texts(hid_t group, const std::string& name) {
  const PackedTexts packed = read_text_rows(group, name, RowChoice::all(rows_of(group, name)));
  std::vector<std::string> values(packed.size());
  for (std::size_t i = 0; i < values.size(); ++i) values[i] = packed[i];
  return values;
}

template <class T>
std::vector<T> read_rows(hid_t group, const std::string& name, const std::string& unit,
                         const RowChoice& rows) {
  const std::string where = path_of(group, name);
  const Handle data = open_data(group, name);
  check_kind(data, std::is_floating_point_v<T>, sizeof(T), where);
  check_unit(data, unit, where);
  check_rows(data, rows, where);
  std::vector<T> values(rows.size());
  read(data, memory_type<T>(), values.data(), rows, where);
  return values;
}

PackedTexts read_text_rows(hid_t group, const std::string& name, const RowChoice& rows) {
  const std::string where = path_of(group, name);
  const Handle data = open_data(group, name);
  const Handle type = owned(H5Dget_type(data.get()), "cannot read the data set", where);
  if (H5Tget_class(type.get()) != H5T_STRING) raise("does not hold text", where);
  check_rows(data, rows, where);
  if (H5Tis_variable_str(type.get()) > 0) {
    VariableTexts texts(rows.size());
    const Handle memory = variable_text_type();
    read(data, memory.get(), texts.data(), rows, where);
    return PackedTexts(rows.size(), [&](std::size_t i) { return texts.text(i); });
  }
  PackedTexts texts(rows.size(), H5Tget_size(type.get()),
                    H5Tget_strpad(type.get()) == H5T_STR_SPACEPAD);
  read(data, type.get(), texts.data(), rows, where);
  return texts;
}

std::size_t rows_of(hid_t group, const std::string& name) {
  return size_of(open_data(group, name), 1, path_of(group, name))[0];
}

std::vector<std::int32_t> read_table(hid_t group, const std::string& name, std::size_t columns) {
  const std::string where = path_of(group, name);
  const Handle data = open_data(group, name);
  check_kind(data, false, sizeof(std::int32_t), where);
  const auto size = size_of(data, 2, where);
  if (size[1] != columns) {
    raise("has " + std::to_string(size[1]) + " columns, not " + std::to_string(columns), where,
          "one row per sample");
  }
  std::vector<std::int32_t> values(size[0] * columns);
  read(data, H5T_NATIVE_INT32, values.data(), where);
  return values;
}

template void write_column(hid_t, const std::string&, std::span<const double>, const ColumnStyle&);
template void write_column(hid_t, const std::string&, std::span<const std::int32_t>,
                           const ColumnStyle&);
template void write_column(hid_t, const std::string&, std::span<const std::int64_t>,
                           const ColumnStyle&);
template void write_column(hid_t, const std::string&, std::span<const std::uint8_t>,
                           const ColumnStyle&);
template std::vector<double> read_rows(hid_t, const std::string&, const std::string&,
                                       const RowChoice&);
template std::vector<std::int64_t> read_rows(hid_t, const std::string&, const std::string&,
                                             const RowChoice&);
template std::vector<double> read_column(hid_t, const std::string&, const std::string&);
template std::vector<std::int32_t> read_column(hid_t, const std::string&, const std::string&);
template std::vector<std::int64_t> read_column(hid_t, const std::string&, const std::string&);
template std::vector<std::uint8_t> read_column(hid_t, const std::string&, const std::string&);

}  // namespace strapline::recordings::h5
