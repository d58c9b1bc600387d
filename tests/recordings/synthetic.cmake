# Synthetic recordings; included by this folder's CMakeLists.txt. Sees the simulator's own headers
# to test its derivatives.
strapline_test(test_synthetic
  SOURCES
    synthetic_arms.cpp
    synthetic_desk.cpp
    synthetic_disturbances.cpp
    synthetic_jet.cpp
    synthetic_one_leg.cpp
    synthetic_motion.cpp
    synthetic_body.cpp
    synthetic_truth.cpp
    synthetic_strap.cpp
    synthetic_sway.cpp
    synthetic_params.cpp
    synthetic_file.cpp
  LIBRARIES strapline::recordings nlohmann_json::nlohmann_json)
target_include_directories(test_synthetic PRIVATE ${PROJECT_SOURCE_DIR}/recordings/src/synthetic)
