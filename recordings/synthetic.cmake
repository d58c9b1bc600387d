# Synthetic recordings with known truth; included by the room's CMakeLists.txt.
set(STRAPLINE_SYNTHETIC_SOURCES
  src/synthetic/param_check.cpp
  src/synthetic/random.cpp
  src/synthetic/sensor_part.cpp
  src/synthetic/set_plan.cpp
  src/synthetic/set_truth.cpp
  src/synthetic/squat_motion.cpp
  src/synthetic/squat_params.cpp
  src/synthetic/strap_motion.cpp
  src/synthetic/strap_record.cpp
  src/synthetic/synthesize.cpp
  src/synthetic/truth_json.cpp)
