# tests/<area>/*.cpp becomes one Catch2 program per area, registered with CTest under the area's name.
add_library(test_main OBJECT ${CMAKE_SOURCE_DIR}/tests/main.cpp)
set(HALFTURN_TEST_ROOMS "" CACHE STRING "Rooms to link tests with, where not all are wanted")
set(HALFTURN_PROGRAMS_IN "" CACHE PATH "Folder of the programs that tests run, where they are not built along")
set(TESTED_ROOMS ${HALFTURN_TEST_ROOMS})
if(NOT TESTED_ROOMS)
  set(TESTED_ROOMS core files sheet fit curve drivers watch ports record live calibrate review plan screen practice)
endif()
set(PROGRAMS_IN ${HALFTURN_PROGRAMS_IN})
if(NOT PROGRAMS_IN)
  set(PROGRAMS_IN ${CMAKE_BINARY_DIR})
endif()
file(GLOB AREAS CONFIGURE_DEPENDS LIST_DIRECTORIES true ${CMAKE_SOURCE_DIR}/tests/*)
foreach(AREA_PATH IN LISTS AREAS)
  get_filename_component(AREA ${AREA_PATH} NAME)
  file(GLOB AREA_SOURCES CONFIGURE_DEPENDS ${AREA_PATH}/*.cpp)
  if(NOT IS_DIRECTORY ${AREA_PATH} OR NOT AREA_SOURCES OR AREA MATCHES "^(fuzz|bench)$")
    continue()
  endif()
  add_executable(test_${AREA} ${AREA_SOURCES} $<TARGET_OBJECTS:test_main>)
  target_include_directories(test_${AREA} PRIVATE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR} ${CMAKE_SOURCE_DIR}/tests)
  target_compile_definitions(test_${AREA} PRIVATE
    HALFTURN_TESTS_DIR="${CMAKE_SOURCE_DIR}/tests" HALFTURN_BUILD_DIR="${PROGRAMS_IN}")
  halfturn_link(test_${AREA} "${TESTED_ROOMS}" "boost;json;asio;fmt;eigen;sqlite;nettle")
  if(NOT HALFTURN_PROGRAMS_IN)
    add_dependencies(test_${AREA} halfturn halfturn-practice halfturn-paper)
  endif()
  add_test(NAME ${AREA} COMMAND test_${AREA})
  set_tests_properties(${AREA} PROPERTIES TIMEOUT 300 ENVIRONMENT "HALFTURN_BIN=${PROGRAMS_IN}")
endforeach()

# Speed and memory against their goals; tools/bench builds and runs it.
include(${CMAKE_SOURCE_DIR}/tests/bench/frame/lists.cmake)

# Judges kept jobs and prints their fingerprints; tools/check compares them across compilers and optimisation levels. It is
# made of the judge's rooms alone, so that four builds of it are cheap.
add_executable(halfturn_fingerprint EXCLUDE_FROM_ALL
  ${CMAKE_SOURCE_DIR}/tools/fingerprint/main.cpp ${CMAKE_SOURCE_DIR}/src/ports/log_port.cpp)
target_include_directories(halfturn_fingerprint PRIVATE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR})
halfturn_link(halfturn_fingerprint "watch;drivers;files;core" "json")

# tests/fuzz/<name>.cpp is one libFuzzer target (clang only); its corpus lies beside it.
if(HALFTURN_FUZZ)
  add_executable(fuzz_formats ${CMAKE_SOURCE_DIR}/tests/fuzz/formats.cpp)
  target_link_options(fuzz_formats PRIVATE -fsanitize=fuzzer)
  halfturn_link(fuzz_formats "drivers;files;core" "json")
endif()
