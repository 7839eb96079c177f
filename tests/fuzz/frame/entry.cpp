// The door through which libFuzzer comes in; compiled once for each target, with FUZZ_TARGET as its function's name.
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "fuzz/frame/fuzz.hpp"

namespace halfturn::fuzz {
void FUZZ_TARGET(std::string_view bytes);
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        halfturn::fuzz::FUZZ_TARGET({reinterpret_cast<const char*>(data), size});
    } catch (const halfturn::fuzz::Broken& broken) {
        std::fprintf(stderr, "%s\n", broken.says.c_str());
        std::abort();
    }
    return 0;
}
