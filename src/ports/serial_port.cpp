#include "ports/serial_port.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "ports/line_settings.hpp"

namespace halfturn {

Descriptor& Descriptor::operator=(Descriptor&& other) noexcept {
    if (this != &other) {
        if (fd_ >= 0) ::close(fd_);
        fd_ = other.release();
    }
    return *this;
}

Descriptor::~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
}

namespace {

std::string why_not_open(const std::string& device, int error) {
    switch (error) {
        case ENOENT: return device + " is not there; plug the instrument in (`ls -l /dev/serial/by-id` lists what is plugged in)";
        case EACCES:
        case EPERM:
            return device + " may not be opened by you; join its group with `sudo usermod -aG dialout $USER`, then log in again";
        case EBUSY: return device + " is in use by another program; close that one first";
        case ENXIO:
        case ENODEV:
        case EIO: return device + " has no instrument behind it; plug it in again";
        case EISDIR: return device + " is a folder, not a port";
        default: return device + " can't be opened: " + std::strerror(error);
    }
}

}  // namespace

OpenResult open_serial(const std::string& device, const LineSettings& line) {
    Descriptor fd(::open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
    if (!fd) return {Descriptor{}, why_not_open(device, errno)};
    if (!::isatty(fd.get())) return {Descriptor{}, device + " is no serial port; give the device the instrument is plugged into"};
    // The lock first: TIOCEXCL does not stop a program that runs as root, and two readers would split the bytes.
    if (::flock(fd.get(), LOCK_EX | LOCK_NB) != 0) return {Descriptor{}, why_not_open(device, EBUSY)};
    ::ioctl(fd.get(), TIOCEXCL);
    if (const std::string problem = set_line(fd.get(), line); !problem.empty()) return {Descriptor{}, device + ": " + problem};
    set_modem_lines(fd.get(), line.dtr, line.rts);
    ask_low_latency(fd.get());
    return {std::move(fd), {}};
}

}  // namespace halfturn
