# strapline_embed_text(TARGET NAMESPACE FILE...): text files become C++ string data.
#
# Generates embedded_NAME.hpp/.cpp (NAME: the namespace's last part) with
#   std::string_view text(std::string_view file_name);   // empty where there is no such file
#   const std::vector<std::string_view>& file_names();   // in the order given
# in NAMESPACE, adds the source to TARGET, and makes the header visible to TARGET alone.
set(STRAPLINE_EMBED_SCRIPT ${CMAKE_CURRENT_LIST_DIR}/write_embedded_text.cmake)

function(strapline_embed_text target namespace)
  string(REGEX REPLACE ".*::" "" name ${namespace})
  set(folder ${CMAKE_CURRENT_BINARY_DIR}/embedded)
  set(stem ${folder}/embedded_${name})
  list(JOIN ARGN "|" files)
  add_custom_command(
    OUTPUT ${stem}.cpp ${stem}.hpp
    COMMAND ${CMAKE_COMMAND} -DSTEM=${stem} -DNAMESPACE=${namespace} "-DFILES=${files}"
            -P ${STRAPLINE_EMBED_SCRIPT}
    DEPENDS ${ARGN} ${STRAPLINE_EMBED_SCRIPT}
    COMMENT "Embedding texts for ${namespace}"
    VERBATIM)
  target_sources(${target} PRIVATE ${stem}.cpp ${stem}.hpp)
  target_include_directories(${target} PRIVATE ${folder})
endfunction()
