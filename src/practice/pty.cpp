#include "practice/pty.hpp"

#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "core/failure.hpp"

namespace halfturn::practice {

Pty::Pty(Pty&& other) noexcept { *this = std::move(other); }

Pty& Pty::operator=(Pty&& other) noexcept {
    std::swap(master_, other.master_);
    std::swap(had_reader_, other.had_reader_);
    std::swap(device_, other.device_);
    return *this;
}

Pty Pty::create() {
    Pty pty;
    std::array<char, 64> name{};
    pty.master_ = ::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (pty.master_ < 0 || ::grantpt(pty.master_) != 0 || ::unlockpt(pty.master_) != 0 ||
        ::ptsname_r(pty.master_, name.data(), name.size()) != 0)
        throw Failure(std::string("can't make a pseudo-terminal: ") + std::strerror(errno));
    pty.device_ = name.data();
    // Raw before anybody opens it; otherwise the first bytes would be echoed back at the instrument.
    termios settings{};
    if (::tcgetattr(pty.master_, &settings) != 0)
        throw Failure(std::string("can't read the settings of ") + pty.device_ + ": " + std::strerror(errno));
    ::cfmakeraw(&settings);
    settings.c_cflag |= CLOCAL | CREAD;
    if (::tcsetattr(pty.master_, TCSANOW, &settings) != 0)
        throw Failure(std::string("can't set up ") + pty.device_ + ": " + std::strerror(errno));
    // The kernel reports "no reader" only after a first one has come and gone.
    const int other_end = ::open(pty.device_.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (other_end < 0) throw Failure("can't open " + pty.device_ + ": " + std::strerror(errno));
    ::close(other_end);
    return pty;
}

bool Pty::has_reader() const {
    if (master_ < 0) return false;
    pollfd state{master_, 0, 0};
    return ::poll(&state, 1, 0) >= 0 && (state.revents & (POLLHUP | POLLERR | POLLNVAL)) == 0;
}

bool Pty::reader_came() {
    const bool had = std::exchange(had_reader_, has_reader());
    return had_reader_ && !had;
}

void Pty::write(std::string_view bytes) {
    if (!has_reader()) return;
    while (!bytes.empty()) {
        const ssize_t count = ::write(master_, bytes.data(), bytes.size());
        if (count < 0 && errno == EINTR) continue;
        if (count <= 0) return;
        bytes.remove_prefix(static_cast<std::size_t>(count));
    }
}

std::string Pty::read() {
    std::string bytes;
    std::array<char, 256> buffer{};
    while (master_ >= 0) {
        const ssize_t count = ::read(master_, buffer.data(), buffer.size());
        if (count < 0 && errno == EINTR) continue;
        if (count <= 0) break;
        bytes.append(buffer.data(), static_cast<std::size_t>(count));
    }
    return bytes;
}

void Pty::close() {
    if (master_ >= 0) ::close(master_);
    master_ = -1;
    had_reader_ = false;
}

}  // namespace halfturn::practice
