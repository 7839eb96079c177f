// Opens one instrument's serial port for this program alone, or says in a sentence why it can't.
#pragma once

#include <string>

#include "core/format.hpp"
#include "ports/port_calls.hpp"

namespace halfturn {

// A file descriptor that closes itself.
class Descriptor {
public:
    explicit Descriptor(int fd = -1) : fd_(fd) {}
    Descriptor(Descriptor&& other) noexcept : fd_(other.release()) {}
    Descriptor& operator=(Descriptor&& other) noexcept;
    ~Descriptor();
    int get() const { return fd_; }
    int release() { const int fd = fd_; fd_ = -1; return fd; }
    explicit operator bool() const { return fd_ >= 0; }

private:
    int fd_;
};

struct OpenResult {
    Descriptor port;
    std::string problem;    // empty when it is open: one sentence, with how to mend it
    bool may_pass = false;  // the problem may go by itself: the instrument is plugged in, the other program ends
};

// Non-blocking, exclusive (flock, then TIOCEXCL), raw, marked for line errors, modem lines set, old bytes dropped.
OpenResult open_serial(const std::string& device, const LineSettings& line, const PortCalls& calls = system_port_calls);

}  // namespace halfturn
