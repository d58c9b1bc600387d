# Tests of the commands that deal with straps.
find_package(fmt 9 REQUIRED)
set(STRAPLINE_LIVE_TESTS
  live_count_test.cpp
  live_part_guide_test.cpp
  live_record_arguments_test.cpp
  live_record_client_test.cpp
  live_replay_script_test.cpp
  live_session_recording_test.cpp)
strapline_test(test_cli_live SOURCES ${STRAPLINE_LIVE_TESTS} LIBRARIES strapline::cli fmt::fmt)
target_include_directories(test_cli_live PRIVATE ${PROJECT_SOURCE_DIR}/cli/src)
