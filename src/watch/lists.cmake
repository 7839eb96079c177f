# src/watch/rules/<name>.cpp is one warning; this writes the list of them.
file(GLOB RULES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/src/watch/rules/*.cpp)
halfturn_list(OUTPUT ${CMAKE_BINARY_DIR}/rule_list.cpp FILES ${RULES}
  HEADER "#include \"watch/rule.hpp\"\nnamespace halfturn {"
  DECLARE "std::unique_ptr<Rule> make_@@();"
  OPEN "std::vector<std::unique_ptr<Rule>> make_all_rules() {\n    std::vector<std::unique_ptr<Rule>> rules;"
  ITEM "rules.push_back(make_@@());"
  CLOSE "    return rules;\n}\n}  // namespace halfturn")
target_sources(room_watch PRIVATE ${CMAKE_BINARY_DIR}/rule_list.cpp)
