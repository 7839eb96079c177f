// A microcontroller's own clock: a 32-bit count that starts again at 0 when it is full, and when the board restarts. Not a
// format itself.
#pragma once

#include <cstdint>

namespace halfturn {

constexpr std::uint64_t board_clock_span = std::uint64_t{1} << 32;

class BoardClock {
public:
    // True when the clock went back although it was not full. Going past the full count by at most `longest_gap` is a wrap.
    bool restarted(std::uint64_t time, std::uint64_t longest_gap) {
        const bool back = running_ && time < last_ && time + board_clock_span - last_ > longest_gap;
        running_ = true;
        last_ = time;
        return back;
    }

private:
    bool running_ = false;
    std::uint64_t last_ = 0;
};

}  // namespace halfturn
