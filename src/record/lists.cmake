# schema/*.sql, in order, as texts inside the program.
file(GLOB SCHEMAS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/schema/*.sql)
list(SORT SCHEMAS)
set(SCHEMA_TEXTS "")
foreach(SCHEMA IN LISTS SCHEMAS)
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
