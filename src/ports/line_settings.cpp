#include "ports/line_settings.hpp"

#include <asm/termbits.h>
#include <linux/serial.h>
#include <linux/sockios.h>
#include <sys/ioctl.h>

#include <cerrno>
#include <cstring>
#include <string>

namespace halfturn {
namespace {

int control(const PortCalls& calls, int fd, unsigned long what, void* argument) {
    return uninterrupted([&] { return calls.ioctl(fd, what, argument); });
}

}  // namespace

int why_no_terminal(int fd, const PortCalls& calls) {
    termios2 t{};
    return control(calls, fd, TCGETS2, &t) == 0 ? 0 : errno;
}

std::string set_line(int fd, const LineSettings& line, const PortCalls& calls) {
    termios2 t{};
    if (control(calls, fd, TCGETS2, &t) != 0) return std::string("its line settings can't be read: ") + std::strerror(errno);
    t.c_iflag = INPCK | PARMRK;
    t.c_oflag = 0;
    t.c_lflag = 0;
    t.c_cflag = CREAD | CLOCAL | BOTHER | (BOTHER << IBSHIFT);
    t.c_cflag |= line.bits == 7 ? CS7 : CS8;
    if (line.parity != Parity::none) t.c_cflag |= PARENB;
    if (line.parity == Parity::odd) t.c_cflag |= PARODD;
    if (line.stop == 2) t.c_cflag |= CSTOPB;
    t.c_ispeed = t.c_ospeed = static_cast<speed_t>(line.baud);
    t.c_cc[VMIN] = 1;
    t.c_cc[VTIME] = 0;
    if (control(calls, fd, TCSETS2, &t) != 0) return std::string("its line settings can't be set: ") + std::strerror(errno);
    termios2 back{};
    if (control(calls, fd, TCGETS2, &back) != 0) return std::string("its line settings can't be read back: ") + std::strerror(errno);
    const double wanted = line.baud, got = back.c_ospeed;
    if (got < 0.97 * wanted || got > 1.03 * wanted)
        return std::to_string(line.baud) + " baud is not possible on this port (it would run at " + std::to_string(back.c_ospeed) + ")";
    if ((back.c_lflag & (ICANON | ECHO)) != 0) return "it can't be switched to raw bytes";
    // Bytes that came before may be of another speed. Where they can't be dropped the decoder skips to the first whole frame.
    control(calls, fd, TCFLSH, nullptr);
    static_assert(TCIFLUSH == 0);
    return {};
}

bool take_alone(int fd, const PortCalls& calls) {
    int taken = 0;
    if (control(calls, fd, TIOCGEXCL, &taken) == 0 && taken != 0) return false;
    control(calls, fd, TIOCEXCL, nullptr);
    return true;
}

void give_back(int fd, const PortCalls& calls) { control(calls, fd, TIOCNXCL, nullptr); }

void set_modem_lines(int fd, bool dtr, bool rts, const PortCalls& calls) {
    int high = (dtr ? TIOCM_DTR : 0) | (rts ? TIOCM_RTS : 0);
    int low = (dtr ? 0 : TIOCM_DTR) | (rts ? 0 : TIOCM_RTS);
    if (high != 0) control(calls, fd, TIOCMBIS, &high);
    if (low != 0) control(calls, fd, TIOCMBIC, &low);
}

void ask_low_latency(int fd, const PortCalls& calls) {
    serial_struct serial{};
    if (control(calls, fd, TIOCGSERIAL, &serial) != 0) return;
    serial.flags |= ASYNC_LOW_LATENCY;
    control(calls, fd, TIOCSSERIAL, &serial);
}

bool read_line_errors(int fd, LineErrors& errors, const PortCalls& calls) {
    serial_icounter_struct counts{};
    if (control(calls, fd, TIOCGICOUNT, &counts) != 0) return false;
    const auto whole = [](int count) { return static_cast<std::uint32_t>(count); };
    errors = {whole(counts.frame), whole(counts.parity), whole(counts.overrun), whole(counts.buf_overrun), whole(counts.brk)};
    return true;
}

}  // namespace halfturn
