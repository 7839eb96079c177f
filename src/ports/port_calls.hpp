// The calls to the system that a serial port is opened, set and read with, as one table: a test gives another one, in which
// the n-th call fails.
#pragma once

#include <cerrno>
#include <cstddef>

#include <sys/types.h>

namespace halfturn {

struct PortCalls {
    int (*open)(const char* path, int flags);
    int (*ioctl)(int fd, unsigned long what, void* argument);  // this also sets the line (TCSETS2)
    int (*flock)(int fd, int how);
    ssize_t (*read)(int fd, void* bytes, std::size_t size);
    ssize_t (*write)(int fd, const void* bytes, std::size_t size);
};
extern const PortCalls system_port_calls;

// Makes the call again while a signal interrupts it.
template <class Call>
auto uninterrupted(Call&& call) {
    for (;;) {
        const auto result = call();
        if (result >= 0 || errno != EINTR) return result;
    }
}

}  // namespace halfturn
