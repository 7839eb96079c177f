#include "command/terminal/keyboard.hpp"

#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <cstdio>

namespace halfturn::command {

struct LiveTerminal::Saved {
    termios keys;
};

LiveTerminal::LiveTerminal() : keys_(::isatty(0) == 1), screen_(::isatty(1) == 1) {
    if (keys_) {
        saved_ = new Saved{};
        tcgetattr(0, &saved_->keys);
        termios raw = saved_->keys;
        raw.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
        raw.c_cc[VMIN] = 1;
        raw.c_cc[VTIME] = 0;
        tcsetattr(0, TCSANOW, &raw);
    }
    if (screen_) std::fputs("\x1b[?1049h\x1b[?25l\x1b[2J", stdout);
}

LiveTerminal::~LiveTerminal() {
    if (screen_) std::fputs("\x1b[?25h\x1b[?1049l", stdout), std::fflush(stdout);
    if (saved_) tcsetattr(0, TCSANOW, &saved_->keys);
    delete saved_;
}

void LiveTerminal::size(std::size_t& columns, std::size_t& rows) const {
    winsize w{};
    columns = 80;
    rows = 24;
    if (ioctl(1, TIOCGWINSZ, &w) == 0 && w.ws_col > 0 && w.ws_row > 0) {
        columns = w.ws_col;
        rows = w.ws_row;
    }
}

void LiveTerminal::draw(const std::vector<std::string>& lines) {
    std::string out = "\x1b[H";
    for (std::size_t i = 0; i < lines.size(); ++i) out += (i ? "\r\n" : "") + lines[i] + "\x1b[K";
    out += "\x1b[J";
    std::fwrite(out.data(), 1, out.size(), stdout);
    std::fflush(stdout);
}

void LiveTerminal::bell() {
    std::fputc('\a', screen_ ? stdout : stderr);
    std::fflush(screen_ ? stdout : stderr);
}

}  // namespace halfturn::command
