// Whole numbers packed without loss, at a size near the least there can be.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "samples/packed.hpp"

using namespace halfturn::samples;

namespace {

std::vector<std::int64_t> round_trip(const std::vector<std::int64_t>& numbers, Packed* packed = nullptr) {
    const Packed made = pack(numbers);
    if (packed) *packed = made;
    std::vector<std::int64_t> again(numbers.size());
    REQUIRE(made.bytes.size() == packed_bytes(numbers.size(), made.how.bits));
    REQUIRE(unpack(made.how, made.bytes, again));
    return again;
}

}  // namespace

TEST_CASE("every kind of run comes back as it was") {
    std::mt19937_64 random(1);
    for (int round = 0; round < 4000; ++round) {
        std::vector<std::int64_t> numbers(1 + random() % (round % 50 == 0 ? most_numbers : 70));
        const unsigned width = static_cast<unsigned>(random() % 52);
        const auto base = static_cast<std::int64_t>(random() << 1) / 2;
        const auto slope = static_cast<std::int64_t>(random() % 5000) - 2500;
        std::int64_t walk = base;
        for (std::size_t i = 0; i < numbers.size(); ++i) {
            const auto noise = static_cast<std::int64_t>(random() & ((std::uint64_t{1} << width) - 1));
            if (round % 3 == 0) numbers[i] = base + noise;
            else if (round % 3 == 1) numbers[i] = base + static_cast<std::int64_t>(i) * slope + noise % 17;
            else numbers[i] = walk += noise % 1000 - 499;
        }
        INFO("round " << round << ", " << numbers.size() << " numbers, width " << width);
        REQUIRE(round_trip(numbers) == numbers);
    }
}

TEST_CASE("the widest run, and the ends of what a number can be") {
    for (const std::int64_t base :
         {std::int64_t{0}, std::numeric_limits<std::int64_t>::max() - widest_run, std::numeric_limits<std::int64_t>::min()}) {
        std::vector<std::int64_t> numbers(most_numbers);
        for (std::size_t i = 0; i < numbers.size(); ++i) numbers[i] = base + (i % 2 ? widest_run : 0);
        Packed packed;
        CHECK(round_trip(numbers, &packed) == numbers);
        CHECK(packed.how.bits <= most_bits);
    }
}

TEST_CASE("a steady clock costs nothing, a steady rise next to nothing") {
    std::vector<std::int64_t> clock(most_numbers);
    for (std::size_t i = 0; i < clock.size(); ++i) clock[i] = 17 + 12500 * static_cast<std::int64_t>(i);
    Packed packed;
    CHECK(round_trip(clock, &packed) == clock);
    CHECK(packed.how.bits == 0);
    // 1e9 / 80.7 a step: no whole number of ns.
    for (std::size_t i = 0; i < clock.size(); ++i) clock[i] = static_cast<std::int64_t>(static_cast<double>(i) * 1e9 / 80.7);
    CHECK(round_trip(clock, &packed) == clock);
    CHECK(packed.how.bits <= 13);
}

TEST_CASE("noise is packed near its entropy") {
    // Of a normal deviate in whole steps: log2(sd sqrt(2 pi e)), Shannon 1948, section 20.
    std::mt19937_64 random(2);
    for (const double sd : {2.0, 4.0, 30.0, 1000.0}) {
        std::normal_distribution<double> normal(0, sd);
        std::vector<std::int64_t> numbers(most_numbers);
        for (std::int64_t& n : numbers) n = std::llround(normal(random));
        Packed packed;
        CHECK(round_trip(numbers, &packed) == numbers);
        const double entropy = std::log2(sd * std::sqrt(2 * M_PI * M_E));
        INFO("sd " << sd << ": " << packed.how.bits << " bits, entropy " << entropy);
        CHECK(packed.how.bits <= 1.0 + 2.0 + entropy);
        CHECK(packed.how.bits >= entropy);
    }
}

TEST_CASE("damaged bytes are refused or give other numbers, never more") {
    const std::vector<std::int64_t> numbers = {1, 5, 2, 8, 3};
    const Packed good = pack(numbers);
    std::vector<std::int64_t> out(numbers.size());
    for (const int bits : {-1, 57, 64, 1 << 30}) CHECK_FALSE(unpack({halfturn::samples::Kind::line, 0, 0, bits}, good.bytes, out));
    CHECK_FALSE(unpack(good.how, std::string_view(good.bytes).substr(1), out));
    CHECK_FALSE(unpack(good.how, good.bytes + "x", out));
    CHECK_FALSE(unpack(good.how, {}, out));
    const auto most = std::numeric_limits<std::int64_t>::max();
    CHECK(unpack({halfturn::samples::Kind::line, most, most, good.how.bits}, good.bytes, out));  // wraps round, and is no undefined behaviour
    CHECK(unpack({halfturn::samples::Kind::steps, most, most, good.how.bits}, good.bytes, out));
}
