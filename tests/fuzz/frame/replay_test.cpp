// Everything that fuzzing ever kept is tried again: the bytes of tests/fuzz/corpus/<name>/ through the target of that name.
#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "fuzz/frame/fuzz.hpp"

namespace halfturn::fuzz {

TEST_CASE("no bytes that fuzzing has kept break a promise") {
    for (const Target& target : targets()) {
        std::vector<std::filesystem::path> files;
        for (const auto& entry : std::filesystem::directory_iterator(HALFTURN_TESTS_DIR "/fuzz/corpus/" + std::string(target.name)))
            files.push_back(entry.path());
        std::sort(files.begin(), files.end());
        CHECK(!files.empty());
        for (const auto& path : files) {
            std::ifstream file(path, std::ios::binary);
            const std::string bytes(std::istreambuf_iterator<char>(file), {});
            std::string says;
            try {
                target.run(bytes);
            } catch (const Broken& broken) {
                says = broken.says;
            } catch (const std::exception& error) {
                says = std::string("let an exception through: ") + error.what();
            }
            INFO(path.string());
            CHECK(says == "");
        }
    }
}

}  // namespace halfturn::fuzz
