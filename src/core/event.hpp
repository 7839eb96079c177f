// Everything that can happen during a job, in the one order the sequencer gave it. A job is its events plus its frozen
// set-up; judging live and judging again a year later are the same code fed the same events.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

namespace halfturn {

// Nanoseconds of steady time (CLOCK_BOOTTIME) since the job began.
using Instant = std::int64_t;
constexpr Instant nanoseconds_per_second = 1'000'000'000;
constexpr double seconds(Instant span) { return static_cast<double>(span) / 1e9; }
constexpr Instant from_seconds(double s) { return static_cast<Instant>(s * 1e9 + (s < 0 ? -0.5 : 0.5)); }

enum class PortState : std::uint8_t { opened, lost, closed };
enum class Act : std::uint8_t {
    begin,        // judging starts here
    zero,         // the stack is loose: what the instruments read now is zero
    acknowledge,  // the deliberate act that clears a stop once unloaded
    silence,      // the sound is off; nothing else changes
    flat,         // one sixth of a turn was made (pedal or key), for rigs without a turn reading
    end,          // the job is over
    note,         // text for the record
    skipped,      // a step of the guided start was skipped; text says which
};
enum class Recording : std::uint8_t { on, late, stopped };

struct BytesArrived { std::uint16_t port; std::string bytes; };
struct BytesSent { std::uint16_t port; std::string bytes; };
struct PortChanged { std::uint16_t port; PortState state; std::string detail; };
struct OperatorDid { Act act; std::string text; };
struct RecorderState { Recording state; std::string detail; };
struct Suspended { Instant asleep; };  // the machine slept this long just before
struct Tick {};                        // every 100 ms: silence is a verdict that depends on time
// What the kernel counted on a line, where it counts: characters with a wrong frame or parity, characters lost because they
// were not fetched in time (by the port, by the buffer), breaks.
struct LineErrors {
    std::uint32_t framing = 0, parity = 0, overrun = 0, buffer_overrun = 0, breaks = 0;
    friend bool operator==(const LineErrors&, const LineErrors&) = default;
    LineErrors& operator+=(const LineErrors& more) {
        framing += more.framing;
        parity += more.parity;
        overrun += more.overrun;
        buffer_overrun += more.buffer_overrun;
        breaks += more.breaks;
        return *this;
    }
};
struct LineErrorsCounted { std::uint16_t port; LineErrors more; };  // since the port was opened or last counted; for the record, not judged

using What = std::variant<BytesArrived, BytesSent, PortChanged, OperatorDid, RecorderState, Suspended, Tick, LineErrorsCounted>;

struct Event {
    std::uint64_t seq = 0;  // 1, 2, 3, …
    Instant at = 0;         // never before the event ahead of it
    What what;
};

constexpr Instant tick_every = nanoseconds_per_second / 10;

// ---- canonical bytes: what is stored and what is hashed ---------------------------------------------------------------
// Little-endian: u64 seq, i64 at, u8 kind (index in What), u16 port, u8 code (state or act), u32 length, then the bytes
// or text. 24 bytes and the payload, the same on every machine and for ever.
constexpr std::size_t event_header_bytes = 24;
void append_event_bytes(const Event& event, std::string& out);

// Takes one event from the front of `bytes` (which shrinks). False, and nothing taken, when the bytes are short or wrong.
bool take_event(std::string_view& bytes, Event& event);

// The counts by the names they have in logs: framing, parity, overrun, buffer_overrun, breaks.
std::array<std::pair<std::string_view, std::uint32_t>, 5> line_error_counts(const LineErrors& errors);

// "3 framing errors, 1 overrun", for people; empty when there are none.
std::string line_errors_text(const LineErrors& errors);

}  // namespace halfturn
