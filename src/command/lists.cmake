# src/command/commands/<name>.cpp is one subcommand; this writes the list of them.
file(GLOB COMMANDS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/src/command/commands/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/command_list.cpp FILES ${COMMANDS}
  HEADER "#include \"command/command_list.hpp\"\nnamespace halfturn::command {"
  DECLARE "extern const Command command_@@;"
  OPEN "static const Command* const list[] = {"
  ITEM "&command_@@,"
  CLOSE "};\nconst std::span<const Command* const> commands = list;\n}  // namespace halfturn::command")
target_sources(${PROGRAM_NAME} PRIVATE ${CMAKE_BINARY_DIR}/command_list.cpp)
