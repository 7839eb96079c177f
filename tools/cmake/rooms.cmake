# Most of what a source takes to compile is the headers, so several share one compilation where a whole build is wanted. Names in
# a room's unnamed namespaces must differ for it. What is compiled once for all, and the subjects of tools/bench, stand alone.
set(CMAKE_UNITY_BUILD ${HALFTURN_TOGETHER})
set(CMAKE_UNITY_BUILD_BATCH_SIZE 20)  # a compilation takes up to 1.4 GB
file(GLOB ALONE ${CMAKE_SOURCE_DIR}/src/outside/*.cpp ${CMAKE_SOURCE_DIR}/tests/bench/*.cpp ${CMAKE_SOURCE_DIR}/tests/main.cpp)
set_source_files_properties(${ALONE} PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)

# One room, one static library. A room with no source yet is left out, so rooms can be planned before they are built.
# A main.cpp is left out too: it belongs to the program that is made of the room.
function(halfturn_room NAME)
  cmake_parse_arguments(ROOM "" "" "USES;PRIVATELY" ${ARGN})
  if(NAME STREQUAL "drivers")
    set(FOLDER ${CMAKE_SOURCE_DIR}/drivers)
  else()
    set(FOLDER ${CMAKE_SOURCE_DIR}/src/${NAME})
  endif()
  file(GLOB_RECURSE SOURCES CONFIGURE_DEPENDS ${FOLDER}/*.cpp)
  list(FILTER SOURCES EXCLUDE REGEX "/main\\.cpp$")
  if(NOT SOURCES)
    return()
  endif()
  add_library(room_${NAME} STATIC ${SOURCES})
  if(EXISTS ${FOLDER}/lists.cmake)
    include(${FOLDER}/lists.cmake)
  endif()
  target_include_directories(room_${NAME} PUBLIC ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR})
  halfturn_link(room_${NAME} "${ROOM_USES}" "${ROOM_PRIVATELY}")
endfunction()

# Links the rooms that exist and the outside libraries named.
function(halfturn_link TARGET USES PRIVATELY)
  foreach(OTHER IN LISTS USES)
    if(TARGET room_${OTHER})
      target_link_libraries(${TARGET} PUBLIC room_${OTHER})
    endif()
  endforeach()
  foreach(LIBRARY IN LISTS PRIVATELY)
    target_link_libraries(${TARGET} PRIVATE outside_${LIBRARY})
  endforeach()
endfunction()

function(halfturn_program NAME)
  cmake_parse_arguments(PROGRAM "" "FOLDER" "USES;PRIVATELY" ${ARGN})
  file(GLOB_RECURSE SOURCES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/${PROGRAM_FOLDER}/*.cpp)
  get_filename_component(ROOM ${PROGRAM_FOLDER} NAME)
  if(TARGET room_${ROOM})
    set(SOURCES ${CMAKE_SOURCE_DIR}/${PROGRAM_FOLDER}/main.cpp)
  endif()
  add_executable(${NAME} ${SOURCES})
  if(EXISTS ${CMAKE_SOURCE_DIR}/${PROGRAM_FOLDER}/lists.cmake)
    set(PROGRAM_NAME ${NAME})
    include(${CMAKE_SOURCE_DIR}/${PROGRAM_FOLDER}/lists.cmake)
  endif()
  target_include_directories(${NAME} PRIVATE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR})
  target_compile_definitions(${NAME} PRIVATE HALFTURN_VERSION="${PROJECT_VERSION}")
  halfturn_link(${NAME} "${PROGRAM_USES}" "${PROGRAM_PRIVATELY}")
endfunction()

# Finding, mapping and relocating shared libraries takes longer than most commands run.
function(halfturn_starts_fast NAME)
  if(HALFTURN_STATIC AND NOT HALFTURN_SANITIZE)
    target_sources(${NAME} PRIVATE ${CMAKE_SOURCE_DIR}/src/outside/loads_no_code.cpp)
    target_link_options(${NAME} PRIVATE -static -Wl,--gc-sections,-O1
      -Wl,--eh-frame-hdr,--wrap=__register_frame_info,--wrap=__deregister_frame_info)
    # The linker writes the file in small pieces, and so the kernel would keep and map it; written again at one go it starts in
    # less time.
    add_custom_command(TARGET ${NAME} POST_BUILD VERBATIM
      COMMAND ${CMAKE_OBJCOPY} $<TARGET_FILE:${NAME}> $<TARGET_FILE:${NAME}>.whole
      COMMAND ${CMAKE_COMMAND} -E rename $<TARGET_FILE:${NAME}>.whole $<TARGET_FILE:${NAME}>)
  endif()
endfunction()

# Writes OUTPUT.cpp that lists one symbol per matching file name: the sorted list of formats, rules or commands.
# (Self-registering statics would vanish from static libraries.)
#   halfturn_list(OUTPUT file.cpp FILES a.cpp b.cpp HEADER "…" DECLARE "extern const Format format_@@;" OPEN "…" ITEM "&format_@@," CLOSE "…")
function(halfturn_list)
  # PARSE_ARGV, because the plain form would eat the semicolons of the C++ text.
  cmake_parse_arguments(PARSE_ARGV 0 LIST "" "OUTPUT;HEADER;DECLARE;OPEN;ITEM;CLOSE" "FILES")
  set(DECLARATIONS "")
  set(ITEMS "")
  foreach(FILE IN LISTS LIST_FILES)
    get_filename_component(SYMBOL ${FILE} NAME_WE)
    string(REPLACE "-" "_" SYMBOL ${SYMBOL})
    string(REPLACE "@@" ${SYMBOL} ONE_DECLARATION "${LIST_DECLARE}")
    string(REPLACE "@@" ${SYMBOL} ONE_ITEM "${LIST_ITEM}")
    string(APPEND DECLARATIONS "${ONE_DECLARATION}\n")
    string(APPEND ITEMS "    ${ONE_ITEM}\n")
  endforeach()
  file(CONFIGURE OUTPUT ${LIST_OUTPUT} @ONLY
       CONTENT "// Written by CMake from the file names; do not edit.\n${LIST_HEADER}\n${DECLARATIONS}\n${LIST_OPEN}\n${ITEMS}${LIST_CLOSE}\n")
endfunction()
