#include "files/whole_file.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <system_error>

#include "core/failure.hpp"

namespace halfturn {

std::string whole_file(const std::string& path, std::size_t most_bytes) {
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), &std::fclose);
    if (!file) throw BadInput(path + ": can't be opened for reading; check the path and that you may read it");
    const auto refuse = [&] {
        throw BadInput(path + ": larger than " + std::to_string(most_bytes >> 20) +
                       " MiB, more than this kind of file may hold; check the path");
    };
    std::error_code unknown;  // of a pipe, and of a folder
    const auto size = std::filesystem::file_size(path, unknown);
    if (!unknown && size > most_bytes) refuse();
    std::string text;
    char block[65536];
    while (const std::size_t count = std::fread(block, 1, sizeof block, file.get())) {
        text.append(block, count);
        if (text.size() > most_bytes) refuse();
    }
    if (std::ferror(file.get())) throw BadInput(path + ": can't be read (is it a folder?); give the path of a file");
    return text;
}

}  // namespace halfturn
