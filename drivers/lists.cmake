# drivers/<format>.cpp is one wire format; this writes the list of them. drivers/shared/ holds what several formats use.
file(GLOB FORMATS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/drivers/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/format_list.cpp FILES ${FORMATS}
  HEADER "#include \"core/format.hpp\"\n#include \"drivers/shared/format_list.hpp\"\nnamespace halfturn {"
  DECLARE "extern const Format format_@@;"
  OPEN "std::vector<const Format*> listed_formats() {\n    return {"
  ITEM "&format_@@,"
  CLOSE "    };\n}\n}  // namespace halfturn")
target_sources(room_drivers PRIVATE ${CMAKE_BINARY_DIR}/format_list.cpp)

# drivers/descriptions/<name>.toml are instruments described as data; they are built in, so that nothing need be installed.
file(GLOB DESCRIPTIONS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/drivers/descriptions/*.toml)
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${DESCRIPTIONS})
set(DESCRIPTION_ITEMS "")
foreach(FILE IN LISTS DESCRIPTIONS)
  get_filename_component(DESCRIPTION ${FILE} NAME_WE)
  file(READ ${FILE} DESCRIPTION_TEXT)
  string(APPEND DESCRIPTION_ITEMS "        {\"${DESCRIPTION}\", R\"toml(${DESCRIPTION_TEXT})toml\"},\n")
endforeach()
file(CONFIGURE OUTPUT ${CMAKE_BINARY_DIR}/description_list.cpp @ONLY CONTENT
"// Written by CMake from drivers/descriptions; do not edit.
#include \"drivers/shared/description.hpp\"

namespace halfturn {

const std::map<std::string_view, std::string_view>& shipped_descriptions() {
    static const std::map<std::string_view, std::string_view> descriptions = {
@DESCRIPTION_ITEMS@    };
    return descriptions;
}

}  // namespace halfturn
")
target_sources(room_drivers PRIVATE ${CMAKE_BINARY_DIR}/description_list.cpp)
