# The page's files become one C++ file; it is written again when any of them changes.
file(GLOB_RECURSE PAGE_FILES CONFIGURE_DEPENDS ${FOLDER}/page/*)
set(EMBEDDED ${CMAKE_BINARY_DIR}/lists/page_files_embedded.cpp)
add_custom_command(OUTPUT ${EMBEDDED}
  COMMAND ${CMAKE_COMMAND} -DFOLDER=${FOLDER}/page -DOUTPUT=${EMBEDDED} -P ${CMAKE_SOURCE_DIR}/tools/cmake/embed.cmake
  DEPENDS ${PAGE_FILES} ${CMAKE_SOURCE_DIR}/tools/cmake/embed.cmake
  COMMENT "Putting the page into the program" VERBATIM)
target_sources(room_screen PRIVATE ${EMBEDDED})
set_source_files_properties(${EMBEDDED} PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)  # written anew at each change of the page
if(HALFTURN_TOGETHER AND CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
  # g++ doubts a coroutine's own types as soon as they stand in an included file.
  target_compile_options(room_screen PRIVATE -Wno-subobject-linkage)
endif()
