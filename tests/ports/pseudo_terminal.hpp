// A pseudo-terminal for tests of the ports: what is written to it arrives at whoever opens `device`.
#pragma once

#include <fcntl.h>
#include <stdlib.h>
#include <unistd.h>

#include <array>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>

namespace halfturn::test {

class PseudoTerminal {
public:
    PseudoTerminal() : master_(::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)) {
        std::array<char, 64> name{};
        need(master_ >= 0 && ::grantpt(master_) == 0 && ::unlockpt(master_) == 0 && ::ptsname_r(master_, name.data(), name.size()) == 0);
        device = name.data();
    }
    ~PseudoTerminal() { hang_up(); }
    PseudoTerminal(PseudoTerminal&& other) noexcept : device(std::move(other.device)), master_(std::exchange(other.master_, -1)) {}
    PseudoTerminal& operator=(PseudoTerminal&& other) noexcept {
        std::swap(device, other.device);
        std::swap(master_, other.master_);
        return *this;
    }

    void write(std::string_view bytes) const { need(::write(master_, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size())); }
    // What the other side has sent; empty when nothing.
    std::string read() const {
        std::array<char, 4096> bytes{};
        const ssize_t count = ::read(master_, bytes.data(), bytes.size());
        return std::string(bytes.data(), count > 0 ? static_cast<std::size_t>(count) : 0);
    }
    // As when the cable is pulled. The kernel drops what the other side has not read yet.
    void hang_up() {
        if (master_ >= 0) ::close(master_);
        master_ = -1;
    }

    std::string device;

private:
    static void need(bool worked) {
        if (!worked) throw std::runtime_error("the pseudo-terminal does not work");
    }

    int master_;
};

}  // namespace halfturn::test
