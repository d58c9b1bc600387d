#include "client_ladders.hpp"

#include "own_definition.hpp"

namespace strapline::cli {

dsp::Result<coaching::Ladder> find_ladder(const std::string& name_or_path,
                                          const std::filesystem::path& own) {
  const std::string where = own_or_given(name_or_path, own);
  auto ladder = coaching::load_ladder(where);
  if (ladder && where != name_or_path && ladder->name != name_or_path) {
    return dsp::fail("the ladder calls itself '" + ladder->name + "'", where,
                     "give the file and its 'name' the same name");
  }
  return ladder;
}

}  // namespace strapline::cli
