#include <string>

#include <asm/termbits.h>
#include <linux/serial.h>
#include <linux/sockios.h>
#include <sys/ioctl.h>

#include <cerrno>
#include <cstring>

#include "ports/line_settings.hpp"

namespace halfturn {

std::string set_line(int fd, const LineSettings& line) {
    termios2 t{};
    if (ioctl(fd, TCGETS2, &t) != 0) return std::string("this is no serial port: ") + std::strerror(errno);
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
    if (ioctl(fd, TCSETS2, &t) != 0) return std::string("its line settings can't be set: ") + std::strerror(errno);
    termios2 back{};
    if (ioctl(fd, TCGETS2, &back) != 0) return std::string("its line settings can't be read back: ") + std::strerror(errno);
    const double wanted = line.baud, got = back.c_ospeed;
    if (got < 0.97 * wanted || got > 1.03 * wanted)
        return std::to_string(line.baud) + " baud is not possible on this port (it would run at " + std::to_string(back.c_ospeed) + ")";
    if ((back.c_lflag & (ICANON | ECHO)) != 0) return "it can't be switched to raw bytes";
    ioctl(fd, TCFLSH, TCIFLUSH);
    return {};
}

void set_modem_lines(int fd, bool dtr, bool rts) {
    int high = (dtr ? TIOCM_DTR : 0) | (rts ? TIOCM_RTS : 0);
    int low = (dtr ? 0 : TIOCM_DTR) | (rts ? 0 : TIOCM_RTS);
    if (high != 0) ioctl(fd, TIOCMBIS, &high);
    if (low != 0) ioctl(fd, TIOCMBIC, &low);
}

void ask_low_latency(int fd) {
    serial_struct serial{};
    if (ioctl(fd, TIOCGSERIAL, &serial) != 0) return;
    serial.flags |= ASYNC_LOW_LATENCY;
    ioctl(fd, TIOCSSERIAL, &serial);
}

bool read_line_errors(int fd, LineErrors& errors) {
    serial_icounter_struct counts{};
    if (ioctl(fd, TIOCGICOUNT, &counts) != 0) return false;
    errors = {counts.frame, counts.parity, counts.overrun, counts.buf_overrun, counts.brk};
    return true;
}

}  // namespace halfturn
