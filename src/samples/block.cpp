#include "samples/block.hpp"

#include <algorithm>
#include <cmath>

#include "watch/calibrated.hpp"

namespace halfturn::samples {
namespace {

constexpr std::size_t fewest_before_a_gap = 64;
// A row of SQLite longer than a page keeps 489 bytes of itself in the table and the rest in whole pages of 4092. So much of it
// packed, beside some hundred bytes of other columns, and the one page is full.
constexpr std::size_t most_packed = 4420;
constexpr std::int64_t gap_of_usual = 100;  // a pause so many usual gaps long would widen every time of its block

// digits x 10^exponent in units of 10^-decimals; nothing when that does not fit.
std::optional<std::int64_t> at_decimals(Decimal value, int decimals) {
    std::int64_t digits = value.digits;
    for (int zeros = value.exponent + decimals; zeros > 0 && digits != 0; --zeros)
        if (__builtin_mul_overflow(digits, std::int64_t{10}, &digits)) return {};
    return digits;
}

bool near(std::int64_t a, std::int64_t b) {
    std::int64_t apart = 0;
    return !__builtin_sub_overflow(a, b, &apart) && apart <= widest_run / 2 && apart >= -widest_run / 2;
}

std::string_view word_of(Gate::Outcome outcome) {
    switch (outcome) {
        case Gate::Outcome::wrong_unit: return "wrong-unit";
        case Gate::Outcome::not_live: return "not-live";
        default: return "no-number";
    }
}

Instant coarsest_tick(const std::vector<std::int64_t>& times_ns) {
    for (const Instant tick : {Instant{1'000'000}, Instant{1000}})
        if (std::all_of(times_ns.begin(), times_ns.end(), [&](std::int64_t t) { return t % tick == 0; })) return tick;
    return 1;
}

std::vector<std::int64_t> in_ticks(std::vector<std::int64_t> times_ns, Instant tick_ns) {
    for (std::int64_t& time : times_ns) time /= tick_ns;
    return times_ns;
}

}  // namespace

BlockBuilder::BlockBuilder(const SetUp& set_up, Clock clock, BlockSink blocks, OddSink odd)
    : channels_(set_up.channels), clock_(clock), blocks_(std::move(blocks)), odd_(std::move(odd)), open_(channels_.size()) {}

void BlockBuilder::add(const DecodedReading& reading) {
    if (reading.channel >= open_.size()) return;
    Open& open = open_[reading.channel];
    const std::uint64_t taken = reading.accepted - open.accepted;
    open.accepted = reading.accepted;
    if (open.waiting) {
        open.waiting = false;
        // Two in a row agreed: then the gate took both at once.
        if (taken == 2) {
            open.held.zero = reading.zero;
            open.held.carried = reading.carried;
            append(open, open.held);
        } else odd(open.held, reading.outcome == Gate::Outcome::spike ? "spike" : "unconfirmed");
    }
    if (taken > 0) append(open, reading);
    else if (reading.outcome == Gate::Outcome::held) {
        open.waiting = true;
        open.held = reading;
    } else odd(reading, word_of(reading.outcome));
}

void BlockBuilder::end() {
    for (Open& open : open_) {
        if (open.waiting) odd(open.held, "unconfirmed");
        open.waiting = false;
        close(open);
    }
}

void BlockBuilder::odd(const DecodedReading& reading, std::string_view why) {
    odd_({reading.channel, reading.at, reading.printed, reading.unit, why});
}

void BlockBuilder::append(Open& open, const DecodedReading& reading) {
    const Instant at = clock_ == Clock::microseconds ? reading.at / 1000 * 1000 : reading.at;
    Block& block = open.block;
    const int wanted = std::max<int>(reading.decimals, -reading.printed.exponent);
    if (!open.digits.empty()) {
        const std::size_t n = open.digits.size();
        const bool other = block.unit != reading.unit || block.factor != reading.factor || block.zero != reading.zero ||
                           block.carried != reading.carried;
        const bool paused =
            n >= fewest_before_a_gap &&
            at - block.last_ns > gap_of_usual * ((block.last_ns - block.first_ns) / static_cast<Instant>(n - 1) + 1);
        bool fits = !other && !paused && near(at, block.first_ns);
        if (fits && wanted > block.decimals) {
            // More decimals than so far: the same numbers in smaller units, if they fit.
            std::vector<std::int64_t> finer = open.digits;
            for (std::int64_t& digits : finer) {
                const auto more = at_decimals({digits, 0}, wanted - block.decimals);
                fits = fits && more && near(*more, finer.front());
                if (more) digits = *more;
            }
            if (fits) {
                open.digits = std::move(finer);
                block.decimals = wanted;
            }
        }
        const auto digits = at_decimals(reading.printed, block.decimals);
        if (!fits || !digits || !near(*digits, open.digits.front())) close(open);
    }
    if (open.digits.empty()) start(open, reading);
    const std::int64_t digits = *at_decimals(reading.printed, block.decimals);
    if (open.digits.empty()) block.first_ns = at;
    block.last_ns = at;
    open.times_ns.push_back(at);
    open.digits.push_back(digits);
    if (open.digits.size() >= most_numbers) close_first(open);
}

void BlockBuilder::start(Open& open, const DecodedReading& reading) {
    open.block = {};
    open.block.channel = reading.channel;
    open.block.unit = reading.unit;
    open.block.factor = reading.factor;
    open.block.zero = reading.zero;
    open.block.carried = reading.carried;
    open.block.decimals = std::max<int>(reading.decimals, -reading.printed.exponent);
    if (!at_decimals(reading.printed, open.block.decimals)) open.block.decimals = -reading.printed.exponent;
}

void BlockBuilder::close(Open& open) {
    while (!open.digits.empty()) close_first(open);
}

void BlockBuilder::close_first(Open& open) {
    std::size_t count = open.digits.size();
    const std::size_t bytes = pack(in_ticks(open.times_ns, coarsest_tick(open.times_ns))).bytes.size() + pack(open.digits).bytes.size();
    // The first so many of them need no more bits each than all.
    if (bytes > most_packed) count = std::max<std::size_t>(1, count * most_packed / bytes);
    give(open, count);
}

void BlockBuilder::give(Open& open, std::size_t count) {
    Block block = open.block;
    const auto part = static_cast<std::ptrdiff_t>(count);
    const std::vector<std::int64_t> times(open.times_ns.begin(), open.times_ns.begin() + part);
    block.count = count;
    block.first_ns = times.front();
    block.last_ns = times.back();
    block.tick_ns = coarsest_tick(times);
    const Scale scale(channels_[block.channel], block);
    for (std::size_t i = 0; i < count; ++i) {
        const double value = scale(open.digits[i]);
        if (value < block.low) block.low = value;
        if (value > block.high) block.high = value;
    }
    const Packed packed_times = pack(in_ticks(times, block.tick_ns)), packed_digits = pack(std::span(open.digits).first(count));
    block.time = packed_times.how;
    block.digits = packed_digits.how;
    block.packed = packed_times.bytes + packed_digits.bytes;
    open.times_ns.erase(open.times_ns.begin(), open.times_ns.begin() + part);
    open.digits.erase(open.digits.begin(), open.digits.begin() + part);
    if (!open.times_ns.empty()) open.block.first_ns = open.times_ns.front();
    blocks_(std::move(block));
}

bool decode(const Block& block, Decoded& out) {
    const std::string_view bytes = block.packed;
    if (block.count == 0 || block.count > most_numbers || block.time.bits < 0 || block.time.bits > most_bits) return false;
    const std::size_t times = packed_bytes(block.count, block.time.bits);
    if (bytes.size() < times) return false;
    out.at_ns.resize(block.count);
    out.digits.resize(block.count);
    if (!unpack(block.time, bytes.substr(0, times), out.at_ns) || !unpack(block.digits, bytes.substr(times), out.digits)) return false;
    if (block.tick_ns != 1)
        for (std::int64_t& time : out.at_ns)  // wraps round where damage made it too large
            time = static_cast<std::int64_t>(static_cast<std::uint64_t>(time) * static_cast<std::uint64_t>(block.tick_ns));
    return true;
}

Scale::Scale(const ChannelSetUp& channel, const Block& block)
    : channel_(channel), decimals_(block.decimals), factor_(block.factor), zero_(block.zero), carried_(block.carried),
      plain_(channel.coefficients.empty() && (channel.measures != Measure::turns || channel.counts_per_turn == 1) &&
             decimals_ >= 0 && decimals_ <= 15) {}

namespace {
constexpr double power_of_ten[] = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
constexpr std::int64_t exact = std::int64_t{1} << 53;
}  // namespace

double Scale::operator()(std::int64_t digits) const {
    // The quotient of two exact numbers is the nearest double to the decimal, as to_double gives it.
    if (plain_ && digits <= exact && digits >= -exact)
        return static_cast<double>(digits) / power_of_ten[decimals_] * factor_ * channel_.sign - zero_ + carried_;
    return calibrated(channel_, to_double(normalised(digits, -decimals_)), factor_) - zero_ + carried_;
}

void Scale::all(const std::vector<std::int64_t>& digits, std::vector<double>& values) const {
    values.resize(digits.size());
    std::uint64_t figures = 0;
    for (const std::int64_t d : digits) figures |= static_cast<std::uint64_t>(d ^ (d >> 63));
    if (!plain_ || figures >= static_cast<std::uint64_t>(exact)) {
        std::transform(digits.begin(), digits.end(), values.begin(), *this);
        return;
    }
    const double power = power_of_ten[decimals_], factor = factor_, sign = channel_.sign, zero = zero_, carried = carried_;
    for (std::size_t i = 0; i < digits.size(); ++i) values[i] = static_cast<double>(digits[i]) / power * factor * sign - zero + carried;
}

}  // namespace halfturn::samples
