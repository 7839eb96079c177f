// Sets up a serial line: raw bytes, any baud rate, parity and framing errors marked in the stream (PARMRK). The kernel's
// termios2 clashes with <termios.h>, so it lives alone behind this header.
#pragma once

#include <string>

#include "core/event.hpp"
#include "core/format.hpp"
#include "ports/port_calls.hpp"

namespace halfturn {

// 0 when it is a serial port or a pseudo-terminal, else the system's error.
int why_no_terminal(int fd, const PortCalls& calls = system_port_calls);

// One call sets everything, so the line never echoes bytes back to an instrument in between; the settings are read back.
// DTR and RTS stay as they are when the port is closed (no HUPCL): a board that they restart keeps its zero.
// Returns an empty text, or what could not be set ("250000 baud is not possible on this port").
// A pseudo-terminal takes any speed and frame and ignores them.
std::string set_line(int fd, const LineSettings& line, const PortCalls& calls = system_port_calls);

// Takes the port for this program alone (TIOCEXCL). False when another one has done so: root would get it all the same, and
// two readers would split the bytes.
bool take_alone(int fd, const PortCalls& calls = system_port_calls);
void give_back(int fd, const PortCalls& calls = system_port_calls);

// Raises or lowers DTR and RTS (some adapters live on them) and asks the driver not to hold bytes back. What a port has
// no wires for is passed over.
void set_modem_lines(int fd, bool dtr, bool rts, const PortCalls& calls = system_port_calls);
void ask_low_latency(int fd, const PortCalls& calls = system_port_calls);

// The kernel's counts since its driver was loaded. False where it keeps none (pseudo-terminals, many USB ports).
bool read_line_errors(int fd, LineErrors& errors, const PortCalls& calls = system_port_calls);

}  // namespace halfturn
