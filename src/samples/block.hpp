// One channel's samples as compact blocks: the exact digits the instrument printed with the time of each, and what turns
// them into N, mm or turns. A BlockBuilder makes them of a job's decoded readings, one by one, the same way live as from the
// stored events a year later; what it makes is derived, and covered by no hash.
//
//   BlockBuilder builder(set_up, Clock::microseconds, keep_block, keep_odd);
//   judge.set_reading_sink([&](const DecodedReading& reading) { builder.add(reading); });
//   ...
//   builder.end();
#pragma once

#include <functional>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "core/set_up.hpp"
#include "samples/packed.hpp"
#include "watch/decoded_reading.hpp"

namespace halfturn::samples {

struct Block {
    std::uint16_t channel = 0;
    std::size_t count = 0;                 // 1 to most_numbers
    Instant first_ns = 0, last_ns = 0;
    double low = std::numeric_limits<double>::infinity(), high = -low;  // of the judged values: N, mm or turns; may be infinite
    Unit unit = Unit::none;
    int decimals = 0;                      // the digits are in 10^-decimals of the unit
    double factor = 1, zero = 0, carried = 0;  // judged value = calibrated(digits) - zero + carried
    Instant tick_ns = 1;                   // what the times are counted in
    How time, digits;
    std::string packed;                    // the times' bytes, then the digits'
};

// A reading whose number was not used: a lone spike, a wrong unit, a stored value. Kept, never hidden.
struct OddReading {
    std::uint16_t channel = 0;
    Instant at_ns = 0;
    Decimal printed;
    Unit unit = Unit::none;
    std::string_view why;  // "spike", "unconfirmed", "wrong-unit", "not-live", "no-number"
};

// Live readings are timed by the computer, whose serial lines are no steadier than the time of a character (87 µs at
// 115200 baud): their samples are kept to the microsecond, rounded down. The raw events keep the nanosecond. A log's times
// are its own, and kept exactly.
enum class Clock : std::uint8_t { exact, microseconds };

class BlockBuilder {
public:
    using BlockSink = std::function<void(Block&&)>;
    using OddSink = std::function<void(const OddReading&)>;
    BlockBuilder(const SetUp& set_up, Clock clock, BlockSink blocks, OddSink odd);

    void add(const DecodedReading& reading);
    void end();  // gives out what is still open

private:
    struct Open {
        std::vector<std::int64_t> times_ns, digits;
        Block block;
        std::uint64_t accepted = 0;                // the gate's count as last seen
        bool waiting = false;                      // `held` waits for a second reading to agree
        DecodedReading held;
    };
    void append(Open& open, const DecodedReading& reading);
    void start(Open& open, const DecodedReading& reading);
    void close(Open& open);         // all that is open
    void close_first(Open& open);   // as much of it as fills a block
    void give(Open& open, std::size_t count);
    void odd(const DecodedReading& reading, std::string_view why);

    const std::vector<ChannelSetUp> channels_;
    const Clock clock_;
    BlockSink blocks_;
    OddSink odd_;
    std::vector<Open> open_;                       // one a channel
};

// The samples of a block. Judged values come out with the very bits the judge used.
struct Decoded {
    std::vector<std::int64_t> at_ns, digits;
};
// False when the block can't be read: it is damaged.
bool decode(const Block& block, Decoded& out);

// What makes digits of a block a judged value.
class Scale {
public:
    Scale(const ChannelSetUp& channel, const Block& block);
    double operator()(std::int64_t digits) const;
    void all(const std::vector<std::int64_t>& digits, std::vector<double>& values) const;  // of a whole block

private:
    const ChannelSetUp& channel_;
    int decimals_;
    double factor_, zero_, carried_;
    bool plain_;  // a straight line through nothing: the usual calibration in N or mm
};

}  // namespace halfturn::samples
