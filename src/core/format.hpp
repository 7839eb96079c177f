// The decoder contract: what one wire format must tell about itself and do with bytes. One format, one file in drivers/.
//
// A decoder is pure: its answer depends only on its settings, on what was sent and on the bytes in front of it, never on
// how they were cut into reads. To keep that, take() must answer "need more" (0) while later bytes could change its mind, and
// what it takes may depend only on what it takes: the same count and the same items however many bytes already wait behind.
#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "core/reading.hpp"

namespace halfturn {

using Items = std::vector<Item>;

class Decoder {
public:
    virtual ~Decoder() = default;
    virtual std::unique_ptr<Decoder> clone() const = 0;

    // The host sent these bytes; formats that must tell an echo from a reply, or match a reply to its request, listen.
    // `unread`: how many bytes had come before and are still to be taken; they answer an earlier request.
    virtual void sent(std::string_view bytes, std::size_t unread) { (void)bytes, (void)unread; }

    // Looks at all unread bytes. Returns how many of them are done with (their items appended), or 0 for "need more".
    // With `ended` no more will come (end of file, or the port was lost): an unfinished frame gives no reading.
    virtual std::size_t take(std::string_view head, bool ended, Items& items) = 0;

    // Asked after a frame that gave one reading: whether every frame that differs from it only in the figures of its one
    // number (see core/alike.hpp) would give this reading with that number as its value, and leave the decoder as it is.
    // Then such frames need not be taken.
    virtual bool only_value_varies() const { return false; }
};

// Where the first byte stands: at the start of a frame, or anywhere (a port just opened): then everything before the
// first terminator or frame start is dropped, since the tail of "12.34 mm" reads "2.34 mm".
enum class Start : std::uint8_t { boundary, mid_line };

// Option keys and values as in the contracts ("unit" -> "mm"). Ordered, so that it hashes the same everywhere.
using Settings = std::map<std::string, std::string, std::less<>>;

enum class Parity : std::uint8_t { none, even, odd };

struct LineSettings {
    int baud = 9600;
    int bits = 8;
    Parity parity = Parity::none;
    int stop = 1;
    bool dtr = true;   // modem lines feed some adapters: high or low as the format needs
    bool rts = true;
    // Wire time of one character, seconds: start + data + parity + stop bits over the baud rate.
    double seconds_per_character() const {
        return (1.0 + bits + (parity == Parity::none ? 0 : 1) + stop) / baud;
    }
};

struct Format {
    std::string_view id;       // kebab-case, stored in jobs: never renamed, never reused
    std::string_view title;    // one line for people
    Quantity measures;         // what it usually carries: length, force, counts (turns), or none for any
    LineSettings line;         // the usual settings; the rig file may override them
    std::size_t longest_frame; // a frame may not be longer; more bytes without a frame are rejected
    double silence_s;          // longer without a reading is a fault; 0: silence is normal (prints on change)
    double lag_s;              // usual delay of the value behind the thing measured
    std::string_view poll;     // request to send when the instrument is asked; empty: it streams
    double poll_every_s;       // the best rate it allows when polled
    std::vector<std::string_view> settings;  // option keys it understands
    // Throws BadInput for a setting it does not know or can't use, naming the key and what was expected.
    std::unique_ptr<Decoder> (*make)(const Settings& settings, Start start);
    // The request for one reading where it depends on the settings; nothing: `poll`.
    std::string (*request)(const Settings& settings) = nullptr;
    // This format with the line, limits and quantity that these settings give it, where they depend on them; else nothing.
    Format (*as_set)(const Settings& settings) = nullptr;
    // Settings that stand by themselves: what they name (a file) read in, so that a job can be judged again without it.
    Settings (*freeze)(const Settings& settings) = nullptr;
};

// The format as these settings make it (line, silence, lag, quantity).
Format as_set(const Format& format, const Settings& settings);
// The settings as they must be kept with a job.
Settings frozen(const Format& format, const Settings& settings);

// What to send for one reading: the setting "poll", which every format knows (escapes \\r \\n \\t \\\\ \\xNN; "none" for an
// instrument that was set to send by itself), else the format's own request. Empty: nothing is sent. Throws BadInput for a wrong escape.
std::string request_for(const Format& format, const Settings& settings);

// Every format of drivers/, sorted by id. The list is written by CMake from the file names.
const std::vector<const Format*>& all_formats();
// Nothing when there is no such format.
const Format* find_format(std::string_view id);

}  // namespace halfturn
