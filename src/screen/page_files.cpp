#include "screen/page_files.hpp"

namespace halfturn::screen {

const PageFile* find_page_file(std::string_view path) {
    if (path == "/") path = "/index.html";
    if (path == "/review") path = "/review.html";
    for (const PageFile& file : page_files())
        if (file.path == path) return &file;
    return nullptr;
}

}  // namespace halfturn::screen
