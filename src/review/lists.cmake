# src/review/findings/<name>.cpp is one finding; this writes the list of them, and puts the table of their rates in.
file(GLOB FINDINGS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/src/review/findings/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/finding_list.cpp FILES ${FINDINGS}
  HEADER "#include \"review/finding.hpp\"\nnamespace halfturn::review {"
  DECLARE "std::unique_ptr<Finding> make_@@();"
  OPEN "std::vector<std::unique_ptr<Finding>> make_all_findings() {\n    std::vector<std::unique_ptr<Finding>> findings;"
  ITEM "findings.push_back(make_@@());"
  CLOSE "    return findings;\n}\n}  // namespace halfturn::review")
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/src/review/finding_rates.csv)
file(READ ${CMAKE_SOURCE_DIR}/src/review/finding_rates.csv FINDING_RATES)
file(CONFIGURE OUTPUT ${CMAKE_BINARY_DIR}/finding_rates.cpp @ONLY
  CONTENT "// Written by CMake from src/review/finding_rates.csv; do not edit.\n#include <string_view>\nnamespace halfturn::review {\nextern const std::string_view finding_rates_csv;\nconst std::string_view finding_rates_csv = R\"csv(@FINDING_RATES@)csv\";\n}  // namespace halfturn::review\n")
target_sources(room_review PRIVATE ${CMAKE_BINARY_DIR}/finding_list.cpp ${CMAKE_BINARY_DIR}/finding_rates.cpp)
