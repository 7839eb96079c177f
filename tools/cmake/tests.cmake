# tests/<area>/*.cpp becomes one Catch2 program per area, registered with CTest under the area's name.
add_library(test_main OBJECT ${CMAKE_SOURCE_DIR}/tests/main.cpp)
target_compile_options(test_main PRIVATE -O0)
set(HALFTURN_TEST_ROOMS "" CACHE STRING "Rooms to link tests with, where not all are wanted")
set(HALFTURN_PROGRAMS_IN "" CACHE PATH "Folder of the programs that tests run, where they are not built along")
set(TESTED_ROOMS ${HALFTURN_TEST_ROOMS})
if(NOT TESTED_ROOMS)
  set(TESTED_ROOMS core files sheet fit curve drivers watch ports samples record live calibrate review plan report screen practice)
endif()
set(PROGRAMS_IN ${HALFTURN_PROGRAMS_IN})
if(NOT PROGRAMS_IN)
  set(PROGRAMS_IN ${CMAKE_BINARY_DIR})
endif()
function(halfturn_test AREA)
  add_executable(test_${AREA} ${ARGN} $<TARGET_OBJECTS:test_main>)
  target_include_directories(test_${AREA} PRIVATE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR} ${CMAKE_SOURCE_DIR}/tests)
  target_compile_definitions(test_${AREA} PRIVATE
    HALFTURN_TESTS_DIR="${CMAKE_SOURCE_DIR}/tests" HALFTURN_BUILD_DIR="${PROGRAMS_IN}")
  halfturn_link(test_${AREA} "${TESTED_ROOMS}" "boost;json;asio;fmt;eigen;sqlite;nettle")
  if(NOT HALFTURN_PROGRAMS_IN)
    add_dependencies(test_${AREA} halfturn halfturn-practice halfturn-paper)
  endif()
  # The tests check the rooms, which are optimised; that they are so themselves would only make them slower to build. Not so
  # under sanitizers, where they would run too slowly.
  target_compile_options(test_${AREA} PRIVATE $<$<CONFIG:Release>:-O0>)
  add_test(NAME ${AREA} COMMAND test_${AREA})
  set_tests_properties(${AREA} PROPERTIES TIMEOUT 300 ENVIRONMENT "HALFTURN_BIN=${PROGRAMS_IN}")
endfunction()
file(GLOB AREAS CONFIGURE_DEPENDS LIST_DIRECTORIES true ${CMAKE_SOURCE_DIR}/tests/*)
foreach(AREA_PATH IN LISTS AREAS)
  get_filename_component(AREA ${AREA_PATH} NAME)
  file(GLOB AREA_SOURCES CONFIGURE_DEPENDS ${AREA_PATH}/*.cpp)
  if(NOT IS_DIRECTORY ${AREA_PATH} OR NOT AREA_SOURCES OR AREA MATCHES "^(fuzz|bench)$")
    continue()
  endif()
  halfturn_test(${AREA} ${AREA_SOURCES})
endforeach()

# Speed and memory against their goals; tools/bench builds and runs it.
include(${CMAKE_SOURCE_DIR}/tests/bench/frame/lists.cmake)

# Judges kept jobs and prints their fingerprints; tools/check compares them across compilers and optimisation levels. It is
# made of the judge's rooms alone, so that four builds of it are cheap.
add_executable(halfturn_fingerprint EXCLUDE_FROM_ALL
  ${CMAKE_SOURCE_DIR}/tools/fingerprint/main.cpp ${CMAKE_SOURCE_DIR}/src/ports/log_port.cpp)
target_include_directories(halfturn_fingerprint PRIVATE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR})
halfturn_link(halfturn_fingerprint "watch;drivers;files;core" "json")

# tests/fuzz/<name>.cpp is one libFuzzer target, fuzz_<name> (clang only), and its corpus lies in tests/fuzz/corpus/<name>.
# test_fuzz runs the same functions over what the corpora keep.
file(GLOB FUZZ_SOURCES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/fuzz/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/fuzz_targets.cpp FILES ${FUZZ_SOURCES}
  HEADER "#include \"fuzz/frame/fuzz.hpp\"\nnamespace halfturn::fuzz {"
  DECLARE "void try_@@(std::string_view bytes);"
  OPEN "const std::vector<Target>& targets() {\n    static const std::vector<Target> all = {"
  ITEM "{\"@@\", try_@@},"
  CLOSE "    };\n    return all;\n}\n}  // namespace halfturn::fuzz")
halfturn_test(fuzz ${FUZZ_SOURCES} ${CMAKE_SOURCE_DIR}/tests/fuzz/frame/replay_test.cpp ${CMAKE_BINARY_DIR}/fuzz_targets.cpp)
if(HALFTURN_FUZZ)
  foreach(SOURCE IN LISTS FUZZ_SOURCES)
    get_filename_component(NAME ${SOURCE} NAME_WE)
    add_executable(fuzz_${NAME} ${SOURCE} ${CMAKE_SOURCE_DIR}/tests/fuzz/frame/entry.cpp)
    target_include_directories(fuzz_${NAME} PRIVATE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR} ${CMAKE_SOURCE_DIR}/tests)
    target_compile_definitions(fuzz_${NAME} PRIVATE FUZZ_TARGET=try_${NAME} HALFTURN_TESTS_DIR="${CMAKE_SOURCE_DIR}/tests")
    target_link_options(fuzz_${NAME} PRIVATE -fsanitize=fuzzer)
    halfturn_link(fuzz_${NAME} "${TESTED_ROOMS}" "json")
  endforeach()
endif()
