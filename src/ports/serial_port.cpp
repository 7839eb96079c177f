#include "ports/serial_port.hpp"

#include <fcntl.h>
#include <sys/file.h>
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
        case ENOENT: return device + " is not there; plug the instrument in (`halfturn instruments` lists what is plugged in)";
        case EACCES:
        case EPERM:
            return device + " may not be opened by you; join its group with `sudo usermod -aG dialout $USER`, then log in again";
        case EBUSY: return device + " is in use by another program; close that one first";
        case ENXIO:
        case ENODEV:
        case EIO: return device + " has no instrument behind it; plug it in again";
        case EISDIR: return device + " is a folder, not a port";
        case ENOTTY: return device + " is no serial port; give the device the instrument is plugged into";
        default: return device + " can't be opened: " + std::strerror(error);
    }
}

// A name that is wrong stays wrong; what is not plugged in, in use or not yet given to its group may change.
bool may_pass(int error) { return error != EISDIR && error != ENOTTY && error != ENAMETOOLONG && error != ENOTDIR; }

}  // namespace

OpenResult open_serial(const std::string& device, const LineSettings& line, const PortCalls& calls) {
    const auto failed = [&](int error) { return OpenResult{Descriptor{}, why_not_open(device, error), may_pass(error)}; };
    Descriptor fd(uninterrupted([&] { return calls.open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC); }));
    if (!fd) return failed(errno);
    if (const int error = why_no_terminal(fd.get(), calls); error != 0) return failed(error);
    // The lock first: TIOCEXCL does not stop a program that runs as root, and two readers would split the bytes.
    if (uninterrupted([&] { return calls.flock(fd.get(), LOCK_EX | LOCK_NB); }) != 0) return failed(errno == EWOULDBLOCK ? EBUSY : errno);
    if (!take_alone(fd.get(), calls)) return failed(EBUSY);
    if (const std::string problem = set_line(fd.get(), line, calls); !problem.empty()) {
        give_back(fd.get(), calls);
        return {Descriptor{}, device + ": " + problem, true};
    }
    set_modem_lines(fd.get(), line.dtr, line.rts, calls);
    ask_low_latency(fd.get(), calls);
    return {std::move(fd), {}, false};
}

}  // namespace halfturn
