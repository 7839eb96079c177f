#include "ports/port_calls.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <unistd.h>

namespace halfturn {

const PortCalls system_port_calls = {
    .open = [](const char* path, int flags) { return ::open(path, flags); },
    .ioctl = [](int fd, unsigned long what, void* argument) { return ::ioctl(fd, what, argument); },
    .flock = ::flock,
    .read = ::read,
    .write = ::write,
};

}  // namespace halfturn
