// The subjects of tools/bench, listed by CMake from the files in tests/bench.
#pragma once

#include <span>
#include <string_view>

#include "bench/bench.hpp"

namespace halfturn::bench {

struct Subject {
    std::string_view name;
    void (*measure)(Figures&);
};

extern const std::span<const Subject> subjects;

}  // namespace halfturn::bench
