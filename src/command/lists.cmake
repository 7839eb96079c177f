# src/command/commands/<name>.cpp is one subcommand; this writes the list of them.
file(GLOB COMMANDS CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/src/command/commands/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/command_list.cpp FILES ${COMMANDS}
  HEADER "#include \"command/command_list.hpp\"\nnamespace halfturn::command {"
  DECLARE "void add_@@(CLI::App& app, Status& status);"
  OPEN "static const Command list[] = {"
  ITEM "{\"@@\", add_@@},"
  CLOSE "};\nconst std::span<const Command> commands = list;\n}  // namespace halfturn::command")
target_sources(${PROGRAM_NAME} PRIVATE ${CMAKE_BINARY_DIR}/command_list.cpp)
