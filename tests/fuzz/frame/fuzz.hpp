// What the fuzz targets share. tests/fuzz/<name>.cpp defines `void try_<name>(std::string_view)`: it feeds the bytes to what
// reads them and calls broken() when a promise is not kept. libFuzzer runs it on bytes it makes up, test_fuzz on the corpus.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace halfturn::fuzz {

// A promise that the bytes have broken, said in one sentence. Nobody below catches it.
struct Broken {
    std::string says;
};
[[noreturn]] inline void broken(std::string says) { throw Broken{std::move(says)}; }

// Takes the first line off the front, without its end; the rest stays. Nothing is taken where there is no line end.
inline std::string_view take_line(std::string_view& bytes) {
    const std::size_t end = bytes.find('\n');
    if (end == std::string_view::npos) return {};
    const std::string_view line = bytes.substr(0, end);
    bytes.remove_prefix(end + 1);
    return line;
}

struct Target {
    std::string_view name;
    void (*run)(std::string_view bytes);
};
const std::vector<Target>& targets();  // every tests/fuzz/<name>.cpp; written by CMake

}  // namespace halfturn::fuzz
