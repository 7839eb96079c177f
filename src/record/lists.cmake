# schema/*.sql, in order, as texts inside the program.
file(GLOB SCHEMAS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/schema/*.sql)
list(SORT SCHEMAS)
set(SCHEMA_TEXTS "")
set(SCHEMA_NUMBER 0)
foreach(SCHEMA IN LISTS SCHEMAS)
  # A file's number is the user_version it makes: without a gap, or the two would part.
  math(EXPR SCHEMA_NUMBER "${SCHEMA_NUMBER} + 1")
  get_filename_component(SCHEMA_NAME ${SCHEMA} NAME)
  string(REGEX MATCH "^0*([0-9]+)_" FOUND ${SCHEMA_NAME})
  if(NOT CMAKE_MATCH_1 EQUAL SCHEMA_NUMBER)
    message(FATAL_ERROR "schema/${SCHEMA_NAME} should have the number ${SCHEMA_NUMBER}: schemas count from 1 without a gap")
  endif()
  set_property(DIRECTORY ${CMAKE_SOURCE_DIR} APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${SCHEMA})
  file(READ ${SCHEMA} TEXT)
  string(APPEND SCHEMA_TEXTS "    R\"schema(${TEXT})schema\",\n")
endforeach()
file(GENERATE OUTPUT ${CMAKE_BINARY_DIR}/schema_list.cpp CONTENT
"// Written by CMake from schema/; do not edit.
#include \"record/schema.hpp\"
namespace halfturn::record {
const std::vector<std::string_view>& schemas() {
    static const std::vector<std::string_view> list = {
${SCHEMA_TEXTS}    };
    return list;
}
}  // namespace halfturn::record
")
target_sources(room_record PRIVATE ${CMAKE_BINARY_DIR}/schema_list.cpp)
target_compile_definitions(room_record PRIVATE HALFTURN_VERSION="${PROJECT_VERSION}")
