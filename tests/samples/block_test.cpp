// A channel's decoded readings as blocks: nothing lost, nothing hidden, and the judge's own bits again.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "samples/block.hpp"
#include "watch/calibrated.hpp"

using namespace halfturn;
using namespace halfturn::samples;

namespace {

SetUp one_channel() {
    SetUp set_up;
    set_up.ports.emplace_back();
    set_up.channels.emplace_back();
    set_up.channels[0].unit = Unit::N;
    return set_up;
}

DecodedReading reading(Instant at, std::int64_t digits, int exponent, int decimals = 1) {
    DecodedReading r;
    r.at = at;
    r.printed = normalised(digits, exponent);
    r.decimals = static_cast<std::int8_t>(decimals);
    r.unit = Unit::N;
    return r;
}

struct Made {
    std::vector<Block> blocks;
    std::vector<OddReading> odd;
};

// As a gate would count them, unless the outcome says otherwise.
Made make(const SetUp& set_up, std::vector<DecodedReading> readings, Clock clock = Clock::exact) {
    Made made;
    BlockBuilder builder(set_up, clock, [&](Block&& block) { made.blocks.push_back(std::move(block)); },
                         [&](const OddReading& odd) { made.odd.push_back(odd); });
    std::uint64_t accepted = 0;
    for (DecodedReading& r : readings) {
        if (r.accepted == 0 && r.outcome != Gate::Outcome::held && r.outcome != Gate::Outcome::wrong_unit) ++accepted;
        accepted += r.accepted;  // a test's own count of readings taken at once
        r.accepted = accepted;
        builder.add(r);
    }
    builder.end();
    return made;
}

}  // namespace

TEST_CASE("times and digits come back exactly") {
    std::mt19937_64 random(3);
    std::vector<DecodedReading> readings;
    Instant at = 5;
    for (int i = 0; i < 10000; ++i) {
        at += 1'000'000 + static_cast<Instant>(random() % 90'001);
        readings.push_back(reading(at, static_cast<std::int64_t>(random() % 20'000) - 10'000, -static_cast<int>(random() % 3), 0));
    }
    const Made made = make(one_channel(), readings);
    std::size_t i = 0;
    for (const Block& block : made.blocks) {
        Decoded decoded;
        REQUIRE(decode(block, decoded));
        const Scale scale(one_channel().channels[0], block);
        double low = INFINITY, high = -INFINITY;
        for (std::size_t k = 0; k < block.count; ++k, ++i) {
            REQUIRE(decoded.at_ns[k] == readings[i].at);
            REQUIRE(normalised(decoded.digits[k], -block.decimals) == readings[i].printed);
            const double value = scale(decoded.digits[k]);
            REQUIRE(value == to_double(readings[i].printed));
            low = std::min(low, value), high = std::max(high, value);
        }
        CHECK(block.low == low);
        CHECK(block.high == high);
    }
    CHECK(i == readings.size());
    CHECK(made.blocks.size() >= 3);
    for (const Block& block : made.blocks) CHECK(block.packed.size() <= 4440);  // fills one page beside its row
    CHECK(made.odd.empty());
}

TEST_CASE("a live job's times are kept to the microsecond, a log's exactly") {
    const std::vector<DecodedReading> readings = {reading(1'234'567, 1, 0), reading(2'000'999, 2, 0)};
    Decoded decoded;
    REQUIRE(decode(make(one_channel(), readings, Clock::microseconds).blocks.at(0), decoded));
    CHECK(decoded.at_ns == std::vector<std::int64_t>{1'234'000, 2'000'000});
    REQUIRE(decode(make(one_channel(), readings).blocks.at(0), decoded));
    CHECK(decoded.at_ns == std::vector<std::int64_t>{1'234'567, 2'000'999});
}

TEST_CASE("a block ends where a zero, a unit or a long pause comes between") {
    std::vector<DecodedReading> readings;
    for (int i = 0; i < 300; ++i) {
        readings.push_back(reading((i + (i >= 200 ? 100'000 : 0)) * Instant{1'000'000}, i, -1));
        if (i >= 100) readings.back().zero = 12.5;
    }
    const Made made = make(one_channel(), readings);
    REQUIRE(made.blocks.size() == 3);
    CHECK(made.blocks[0].count == 100);
    CHECK(made.blocks[1].count == 100);
    CHECK(made.blocks[1].zero == 12.5);
    CHECK(made.blocks[1].low == 10.0 - 12.5);
    CHECK(made.blocks[2].time.bits == 0);
}

TEST_CASE("numbers too far apart, or of too many figures, are kept in blocks of their own") {
    const std::vector<DecodedReading> readings = {reading(1, 999'999'999'999'999'999, 0), reading(2, 1, -18, 18),
                                                  reading(3, -999'999'999'999'999'999, -3, 3), reading(4, 7, 30, 0),
                                                  reading(5, 5, -1)};
    const Made made = make(one_channel(), readings);
    std::size_t i = 0;
    for (const Block& block : made.blocks) {
        Decoded decoded;
        REQUIRE(decode(block, decoded));
        for (const std::int64_t digits : decoded.digits) CHECK(normalised(digits, -block.decimals) == readings.at(i++).printed);
    }
    CHECK(i == readings.size());
}

TEST_CASE("what was not used is kept beside, and says why") {
    std::vector<DecodedReading> readings;
    const auto add = [&](std::int64_t digits, Gate::Outcome outcome, std::uint64_t taken = 0) {
        readings.push_back(reading(static_cast<Instant>(readings.size() + 1) * 1'000'000, digits, 0));
        readings.back().outcome = outcome;
        readings.back().accepted = taken;
    };
    add(1, Gate::Outcome::accepted);
    add(8'388'607, Gate::Outcome::held);
    add(2, Gate::Outcome::spike);          // came back: the held one was a spike
    add(900, Gate::Outcome::held);
    add(901, Gate::Outcome::accepted, 2);  // agreed: both are samples
    add(3, Gate::Outcome::wrong_unit);
    add(5000, Gate::Outcome::held);
    const Made made = make(one_channel(), readings);
    REQUIRE(made.blocks.size() == 1);
    Decoded decoded;
    REQUIRE(decode(made.blocks[0], decoded));
    CHECK(made.blocks[0].decimals == 1);
    CHECK(decoded.digits == std::vector<std::int64_t>{10, 20, 9000, 9010});
    REQUIRE(made.odd.size() == 3);
    CHECK(made.odd[0].why == "spike");
    CHECK(made.odd[0].printed.digits == 8'388'607);
    CHECK(made.odd[1].why == "wrong-unit");
    CHECK(made.odd[2].why == "unconfirmed");
}

TEST_CASE("a calibrated block gives the bits that the calibration gave") {
    std::mt19937_64 random(4);
    ChannelSetUp channel;
    channel.coefficients = {0.3, 9.80665e-3, 1e-9, -3e-15};
    channel.sign = -1;
    channel.unit = Unit::counts;
    Block block;
    block.decimals = 2;
    block.factor = *unit_factor(channel, Unit::counts);
    block.zero = 1.0 / 3;
    block.carried = 0.1;
    const Scale scale(channel, block);
    for (int i = 0; i < 1000; ++i) {
        const auto digits = static_cast<std::int64_t>(random() % 2'000'000) - 1'000'000;
        CHECK(scale(digits) == calibrated(channel, to_double(normalised(digits, -2)), 1) - 1.0 / 3 + 0.1);
    }
}
