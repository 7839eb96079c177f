// Sets up a serial line: raw bytes, any baud rate, parity and framing errors marked in the stream (PARMRK). The kernel's
// termios2 clashes with <termios.h>, so it lives alone behind this header.
#pragma once

#include <string>

#include "core/format.hpp"

namespace halfturn {

// One call sets everything, so the line never echoes bytes back to an instrument in between; the settings are read back.
// Returns an empty text, or what could not be set ("250000 baud is not possible on this port").
// A pseudo-terminal takes any speed and frame and ignores them.
std::string set_line(int fd, const LineSettings& line);

// Raises or lowers DTR and RTS (some adapters live on them) and asks the driver not to hold bytes back. What a port has
// no wires for is passed over.
void set_modem_lines(int fd, bool dtr, bool rts);
void ask_low_latency(int fd);

// Counts of the kernel since the port was opened by anyone. False where it keeps none (pseudo-terminals, many USB ports).
struct LineErrors {
    int framing = 0, parity = 0, overrun = 0, buffer_overrun = 0, breaks = 0;
};
bool read_line_errors(int fd, LineErrors& errors);

}  // namespace halfturn
