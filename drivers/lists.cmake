# drivers/<format>.cpp is one wire format; this writes the list of them. drivers/shared/ holds what several formats use.
file(GLOB FORMATS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/drivers/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/format_list.cpp FILES ${FORMATS}
  HEADER "#include \"core/format.hpp\"\n#include \"drivers/shared/format_list.hpp\"\nnamespace halfturn {"
  DECLARE "extern const Format format_@@;"
  OPEN "std::vector<const Format*> listed_formats() {\n    return {"
  ITEM "&format_@@,"
  CLOSE "    };\n}\n}  // namespace halfturn")
target_sources(room_drivers PRIVATE ${CMAKE_BINARY_DIR}/format_list.cpp)
