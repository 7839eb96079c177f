# The page's files become one C++ file; it is written again when any of them changes.
file(GLOB_RECURSE PAGE_FILES CONFIGURE_DEPENDS ${FOLDER}/page/*)
set(EMBEDDED ${CMAKE_BINARY_DIR}/lists/page_files_embedded.cpp)
add_custom_command(OUTPUT ${EMBEDDED}
  COMMAND ${CMAKE_COMMAND} -DFOLDER=${FOLDER}/page -DOUTPUT=${EMBEDDED} -P ${CMAKE_SOURCE_DIR}/tools/cmake/embed.cmake
  DEPENDS ${PAGE_FILES} ${CMAKE_SOURCE_DIR}/tools/cmake/embed.cmake
  COMMENT "Putting the page into the program" VERBATIM)
target_sources(room_screen PRIVATE ${EMBEDDED})
set_source_files_properties(${EMBEDDED} PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)  # written anew at each change of the page
