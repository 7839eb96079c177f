# tests/bench/<subject>.cpp is one subject of tools/bench; this writes the list of them.
file(GLOB SUBJECTS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/bench/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/bench_subjects.cpp FILES ${SUBJECTS}
  HEADER "#include \"bench/frame/subjects.hpp\"\nnamespace halfturn::bench {"
  DECLARE "void measure_@@(Figures&);"
  OPEN "static const Subject list[] = {"
  ITEM "{\"@@\", measure_@@},"
  CLOSE "};\nconst std::span<const Subject> subjects = list;\n}  // namespace halfturn::bench")
file(GLOB FRAME CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/bench/frame/*.cpp)
# The disk that stalls is the one of the recorder's tests.
add_executable(halfturn-bench EXCLUDE_FROM_ALL ${SUBJECTS} ${FRAME} ${CMAKE_SOURCE_DIR}/tests/record/disk.cpp ${CMAKE_BINARY_DIR}/bench_subjects.cpp)
target_include_directories(halfturn-bench PRIVATE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR} ${CMAKE_SOURCE_DIR}/tests)
target_compile_definitions(halfturn-bench PRIVATE
  HALFTURN_TESTS_DIR="${CMAKE_SOURCE_DIR}/tests" HALFTURN_BUILD_DIR="${PROGRAMS_IN}")
halfturn_link(halfturn-bench "${TESTED_ROOMS}" "boost;json;asio;fmt;eigen;sqlite;nettle")
add_dependencies(halfturn-bench halfturn halfturn-practice)
