#include "practice/live.hpp"

#include <poll.h>
#include <time.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>

#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "practice/pty.hpp"

namespace halfturn::practice {
namespace {

constexpr int looks_every_ms = 2;
// After the machine slept or the process was held up, the job goes on from here instead of racing to catch up.
constexpr double longest_gap_s = 1.0;

double steady_s() {
    timespec now{};
    ::clock_gettime(CLOCK_MONOTONIC, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

void say(const std::string& line) {
    if (std::fputs((line + "\n").c_str(), stdout) < 0 || std::fflush(stdout) != 0)
        throw Failure("can't write to standard output: its reader has gone");
}

class Ports : public Listener {
public:
    explicit Ports(const Bench& bench) : bench_(bench) {
        for (std::size_t i = 0; i < bench_.stations().size(); ++i) {
            ptys_.push_back(Pty::create());
            announce(i);
        }
    }
    void bytes(std::size_t port, const Batch& batch) override { ptys_[port].write(batch.bytes); }
    void state(std::size_t port, double, PortState state) override {
        if (state == PortState::opened) {
            ptys_[port] = Pty::create();
            announce(port);
        } else {
            ptys_[port].close();
        }
    }
    std::vector<Pty>& ptys() { return ptys_; }

private:
    void announce(std::size_t port) {
        say(JsonWriter().object().put("port", bench_.stations()[port].name()).put("device", ptys_[port].device()).end().take());
    }

    const Bench& bench_;
    std::vector<Pty> ptys_;
};

// False: time to end.
bool obey(std::string_view line, Bench& bench) {
    if (line == "go") {
        bench.go();
        return true;
    }
    if (line == "quit") return false;
    if (line.substr(0, 5) == "word ") {
        if (const auto word = word_from_text(line.substr(5))) {
            bench.hear(*word);
            return true;
        }
    }
    for (const std::string_view way : {"to ", "jerk "})
        if (line.starts_with(way))
            if (const auto force_N = parse_number(line.substr(way.size())); force_N && *force_N >= 0 && *force_N < 1e5) {
                if (way == "to ") bench.bring_to(*force_N);
                else bench.jerk_to(*force_N);
                return true;
            }
    if (line.starts_with("stray ") && bench.disturb(line.substr(6))) return true;
    if (!line.empty())
        std::fprintf(
            stderr,
            "halfturn-practice: \"%.*s\" is not understood; say go, word turn, word slower, word wait, word stop, to NEWTONS, "
            "jerk NEWTONS, stray eccentric MM DEGREES, stray side-load N DEGREES, stray torsion NM, stray none or quit\n",
            static_cast<int>(line.size()), line.data());
    return true;
}

// Everything that stands on standard input now; false when it has closed or said quit.
bool hear_input(std::string& pending, Bench& bench) {
    std::array<char, 512> buffer{};
    const ssize_t count = ::read(STDIN_FILENO, buffer.data(), buffer.size());
    if (count < 0) return errno == EINTR || errno == EAGAIN;
    if (count == 0) return false;
    pending.append(buffer.data(), static_cast<std::size_t>(count));
    for (std::size_t end; (end = pending.find('\n')) != std::string::npos; pending.erase(0, end + 1))
        if (!obey(std::string_view(pending).substr(0, end), bench)) return false;
    return true;
}

}  // namespace

void run_live(Bench& bench) {
    Ports ports(bench);
    say(JsonWriter().object().put("ready", true).end().take());
    std::string pending;
    bool told_done = false;
    double ahead_s = steady_s() - bench.t_s();  // wall time less bench time
    for (;;) {
        pollfd input{STDIN_FILENO, POLLIN, 0};
        if (::poll(&input, 1, looks_every_ms) < 0 && errno != EINTR)
            throw Failure("can't wait for standard input");
        if (input.revents != 0 && !hear_input(pending, bench)) return;
        for (std::size_t i = 0; i < ports.ptys().size(); ++i) {
            if (ports.ptys()[i].reader_came()) bench.open(i);
            if (const std::string heard = ports.ptys()[i].read(); !heard.empty()) bench.receive(i, heard);
        }
        const double now_s = steady_s();
        if (now_s - ahead_s > bench.t_s() + longest_gap_s) ahead_s = now_s - bench.t_s() - longest_gap_s;
        bench.advance(now_s - ahead_s, ports);
        if (!told_done && bench.done()) {
            say(JsonWriter().object().put("done", true).end().take());
            told_done = true;
        }
    }
}

}  // namespace halfturn::practice
