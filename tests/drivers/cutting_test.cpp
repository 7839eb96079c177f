// However the bytes are cut into reads, the same items come, each with its last byte at the same place; and bytes that end
// early never give a reading that the whole would not have given.
#include <catch2/catch.hpp>

#include <algorithm>
#include <numeric>

#include "drivers/captures.hpp"

namespace halfturn::test {
namespace {

// Repeatable, and good enough to choose cuts.
std::uint64_t next_random(std::uint64_t& state) {
    state ^= state << 13;
    state ^= state >> 7;
    return state ^= state << 17;
}

bool has_marks(const Capture& capture) { return capture.settings.contains("parmrk") && capture.driver != "parmrk"; }

// The marks of the serial line are taken out before items are placed, so places are compared only without them.
void forget_places(std::vector<Seen>& items) {
    for (auto& item : items) item.end = 0;
}

}  // namespace

TEST_CASE("any cutting of the bytes gives the same items") {
    for (const auto& [capture, path] : captures()) {
        const std::size_t size = capture.bytes.size();
        auto whole = play(capture, capture.bytes);
        if (has_marks(capture)) forget_places(whole);
        const auto same = [&](const std::vector<std::size_t>& cuts) {
            auto items = play(capture, capture.bytes, cuts);
            if (has_marks(capture)) forget_places(items);
            return items == whole;
        };
        INFO(path.string());
        std::vector<std::size_t> every(size);
        std::iota(every.begin(), every.end(), std::size_t{1});
        CHECK(same(every));
        std::size_t different = 0;
        for (std::size_t first = 1; first < size; ++first) {
            different += same({first}) ? 0u : 1u;
            for (std::size_t second = first + 1; second < std::min(size, first + 40); ++second)
                different += same({first, second}) ? 0u : 1u;
        }
        std::uint64_t state = 0x9E3779B97F4A7C15u + size;
        for (int round = 0; round < 50; ++round) {
            std::vector<std::size_t> cuts;
            for (std::size_t at = 0; at < size; ++at)
                if (next_random(state) % 7 == 0) cuts.push_back(at);
            different += same(cuts) ? 0u : 1u;
        }
        CHECK(different == 0);
    }
}

TEST_CASE("bytes that end early give only readings that the whole gives too") {
    for (const auto& [capture, path] : captures()) {
        INFO(path.string());
        const auto whole = reading_texts(capture, capture.bytes);
        std::size_t wrong = 0;
        for (std::size_t size = 0; size < capture.bytes.size(); ++size) {
            const auto part = reading_texts(capture, std::string_view(capture.bytes).substr(0, size));
            if (part.size() > whole.size() || !std::equal(part.begin(), part.end(), whole.begin())) ++wrong;
        }
        CHECK(wrong == 0);
    }
}

}  // namespace halfturn::test
