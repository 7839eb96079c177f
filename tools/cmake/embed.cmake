# cmake -DFOLDER=… -DOUTPUT=… -P embed.cmake: writes a C++ file that holds every file of the folder, byte for byte.
file(GLOB_RECURSE FILES RELATIVE ${FOLDER} ${FOLDER}/*)
list(SORT FILES)
set(TYPE_html "text/html; charset=utf-8")
set(TYPE_css "text/css; charset=utf-8")
set(TYPE_js "text/javascript; charset=utf-8")
set(TYPE_svg "image/svg+xml")
set(TYPE_txt "text/plain; charset=utf-8")
set(ARRAYS "")
set(ROWS "")
set(NUMBER 0)
foreach(FILE IN LISTS FILES)
  get_filename_component(ENDING ${FILE} LAST_EXT)
  string(SUBSTRING "${ENDING}" 1 -1 ENDING)
  if(NOT DEFINED TYPE_${ENDING})
    message(FATAL_ERROR "${FILE}: no content type is known for .${ENDING}; add it to tools/cmake/embed.cmake")
  endif()
  file(READ ${FOLDER}/${FILE} BYTES HEX)
  string(LENGTH "${BYTES}" LENGTH)
  math(EXPR LENGTH "${LENGTH} / 2")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," BYTES "${BYTES}")
  string(APPEND ARRAYS "const unsigned char file_${NUMBER}[] = {${BYTES}0};\n")
  string(APPEND ROWS "        {\"/${FILE}\", \"${TYPE_${ENDING}}\", {reinterpret_cast<const char*>(file_${NUMBER}), ${LENGTH}}},\n")
  math(EXPR NUMBER "${NUMBER} + 1")
endforeach()
file(WRITE ${OUTPUT} "// Written by CMake from src/screen/page/; do not edit.
#include \"screen/page_files.hpp\"

namespace halfturn::screen {
namespace {
${ARRAYS}}  // namespace

const std::vector<PageFile>& page_files() {
    static const std::vector<PageFile> files = {
${ROWS}    };
    return files;
}

}  // namespace halfturn::screen
")
