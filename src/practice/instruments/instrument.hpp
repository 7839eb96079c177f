// What every instrument of the practice rig can do: print its reading in its own wire format and answer its own commands.
// The formats follow published interface descriptions, written anew here and not taken from the tool's decoders.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/set_up.hpp"
#include "practice/random.hpp"

namespace halfturn::practice {

// What a printed value needs to know.
struct Shown {
    double t_s = 0;      // when it was measured
    double value = 0;    // N, mm or turns
};

class Instrument {
public:
    virtual ~Instrument() = default;

    // Said once after power comes on, before any value.
    virtual std::string power_up(double /*t_s*/) { return {}; }
    virtual std::string print(const Shown& shown) = 0;
    // As print, but the converter read 2^bits - 1 instead. Formats without a converter's counts print as ever.
    virtual std::string print_glitch(const Shown& shown, Random&) { return print(shown); }
    // One complete command, its terminator cut off. Nothing: such an instrument says nothing to that.
    virtual std::optional<std::string> answer(std::string_view /*command*/, const Shown&) { return {}; }
    virtual void press_unit_key() {}
    // The host asked to be set to zero: true once after each such command.
    virtual bool take_zero_request() { return false; }
    // Sends by itself; else only when asked.
    virtual bool streams() const { return true; }
};

using Options = std::map<std::string, std::string, std::less<>>;

// Reads options and says what is wrong with them; every key asked for is one the instrument knows.
class OptionReader {
public:
    OptionReader(const Options& options, std::string where) : options_(options), where_(std::move(where)) {}
    double number(std::string_view key, double usual, double low, double high);
    std::string text(std::string_view key, std::string_view usual);
    std::string choice(std::string_view key, std::string_view usual, const std::vector<std::string>& allowed);
    // Throws BadInput when a key was given that nothing asked for.
    void refuse_others() const;

private:
    const Options& options_;
    std::string where_;
    std::vector<std::string> known_;
};

struct InstrumentKind {
    std::string_view format;
    std::vector<Measure> measures;
    int baud;
    int bits_per_character;   // with start, parity and stop bits
    double rate_per_s;
    double rate_spread;       // real clocks are off by this share
    double jitter_s;          // of a single reading
    double noise;             // N, mm or turns, one standard deviation
    double lag_s;             // of the value behind what it measures
    double print_delay_s;     // from measuring to the first byte
    std::string_view ask;     // what a host sends to ask for a value
    double asked_every_s;     // how often a host may ask
    std::unique_ptr<Instrument> (*make)(OptionReader&);
};

const std::vector<const InstrumentKind*>& instrument_kinds();

}  // namespace halfturn::practice
