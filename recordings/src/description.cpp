#include "strapline/recordings/recording_file.hpp"

#include "atomic_file.hpp"
#include "description_group.hpp"
#include "file_format.hpp"
#include "hdf5/group.hpp"

namespace strapline::recordings {

dsp::Result<void> rewrite_description(const std::filesystem::path& path,
                                      const SetDescription& description) {
  return h5::guarded(path, [&] {
    if (description.client.empty()) h5::raise("the client is not named", {}, "name one");
    h5::Image copy = h5::Image::open(read_whole(path), h5::Image::Access::write);
    check_format(copy.root(), schema::kRecording, "a recording");
    write_set(h5::open_group(copy.root(), "set").get(), description);
    write_atomically(path, copy.finish(), Overwrite::yes);
  });
}

}  // namespace strapline::recordings
