// The page's files, put into the program at build time by tools/cmake/embed.cmake from src/screen/page/.
#pragma once

#include <string_view>
#include <vector>

namespace halfturn::screen {

struct PageFile {
    std::string_view path;  // "/main.js"
    std::string_view type;  // "text/javascript; charset=utf-8"
    std::string_view bytes;
};

const std::vector<PageFile>& page_files();
const PageFile* find_page_file(std::string_view path);

}  // namespace halfturn::screen
