// The n-th call to the system fails, for every n and every kind of call, with every error a port can give: always a sentence
// or a recorded break, never a crash, a spinning loop or a byte lost before the break.
//
// Over pseudo-terminals, which have no modem lines, no line errors and no counters: those calls are answered by the test.
#include <catch2/catch.hpp>

#include <linux/serial.h>
#include <linux/sockios.h>
#include <sys/ioctl.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <functional>

#include "ports/line_settings.hpp"
#include "ports/pseudo_terminal.hpp"
#include "ports/sequencer.hpp"
#include "ports/serial_port.hpp"

namespace halfturn::test {
namespace {

enum class Kind { open, ioctl, flock, read, write };
constexpr std::array<Kind, 5> kinds = {Kind::open, Kind::ioctl, Kind::flock, Kind::read, Kind::write};
constexpr std::array<const char*, 5> kind_names = {"open", "ioctl", "flock", "read", "write"};
constexpr std::array<int, 5> errors = {EINTR, EAGAIN, EIO, ENXIO, ENOSPC};

// What is to fail, and what happened.
struct Plan {
    Kind kind = Kind::open;
    int nth = 0, error = 0;       // 0: nothing fails
    int seen = 0;                 // calls of that kind
    bool failed = false;
    bool short_writes = false;    // one byte at a time
    std::size_t read_bytes = 0;   // that the system gave
    std::size_t said_bytes = 0;   // that the run waits for
    bool has_counters = false;
    serial_icounter_struct counters{};
};
Plan plan;

bool fails(Kind kind) {
    if (plan.nth == 0 || kind != plan.kind || ++plan.seen != plan.nth) return false;
    plan.failed = true;
    errno = plan.error;
    return true;
}

const PortCalls calls = {
    .open = [](const char* path, int flags) { return fails(Kind::open) ? -1 : system_port_calls.open(path, flags); },
    .ioctl = [](int fd, unsigned long what, void* argument) {
        if (what == TIOCGICOUNT && plan.has_counters) {
            std::memcpy(argument, &plan.counters, sizeof plan.counters);
            return 0;
        }
        return fails(Kind::ioctl) ? -1 : system_port_calls.ioctl(fd, what, argument);
    },
    .flock = [](int fd, int how) { return fails(Kind::flock) ? -1 : system_port_calls.flock(fd, how); },
    .read = [](int fd, void* bytes, std::size_t size) -> ssize_t {
        if (fails(Kind::read)) return -1;
        const ssize_t count = system_port_calls.read(fd, bytes, size);
        if (count > 0) plan.read_bytes += static_cast<std::size_t>(count);
        return count;
    },
    .write = [](int fd, const void* bytes, std::size_t size) -> ssize_t {
        if (fails(Kind::write)) return -1;
        return system_port_calls.write(fd, bytes, plan.short_writes ? 1 : size);
    },
};

std::size_t open_files() {
    std::size_t count = 0;
    for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator("/proc/self/fd")) ++count;
    return count;
}

SetUp gauge_at(const std::string& device) {
    SetUp set_up;
    PortSetUp port;
    port.name = "force";
    port.device = device;
    port.format = "ask-unit";  // asked: the loop writes too
    set_up.ports.push_back(port);
    return set_up;
}

// What a run of the loop made of a port.
struct Heard {
    std::string bytes, sent, before_break;
    std::vector<std::string> states;  // "opened", "lost: why"
    std::vector<LineErrors> errors;
};

// Lets the loop run over one port. `script` is called with the loop once it is open or could not be opened.
Heard run(const std::string& device, double for_s, bool until_lost, const std::function<void(Sequencer&, Heard&)>& script) {
    const SetUp set_up = gauge_at(device);
    Heard heard;
    Sequencer* loop = nullptr;
    bool ending = false;
    Sequencer sequencer(
        set_up,
        [&](const Event& event) {
            if (ending && std::holds_alternative<Tick>(event.what)) loop->stop();
            if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) heard.bytes += arrived->bytes;
            if (const auto* sent = std::get_if<BytesSent>(&event.what)) heard.sent += sent->bytes;
            if (const auto* counted = std::get_if<LineErrorsCounted>(&event.what)) heard.errors.push_back(counted->more);
            if (const auto* change = std::get_if<PortChanged>(&event.what)) {
                heard.states.push_back(change->state == PortState::opened ? "opened" : "lost: " + change->detail);
                if (change->state == PortState::lost) {
                    heard.before_break = heard.bytes;
                    if (until_lost && loop) loop->stop();
                }
            }
        },
        calls);
    loop = &sequencer;
    sequencer.open_ports();
    script(sequencer, heard);
    // Not before what was said is heard: before a tick every port is drained, however busy the machine is.
    sequencer.after(for_s, [&] {
        if (heard.bytes.size() < plan.said_bytes) ending = true;
        else sequencer.stop();
    });
    sequencer.run();
    return heard;
}

}  // namespace

TEST_CASE("opening a port while its n-th call fails gives an open port or a sentence, and leaves nothing behind") {
    for (std::size_t k = 0; k < 3; ++k) {
        for (const int error : errors) {
            for (int nth = 1;; ++nth) {
                PseudoTerminal terminal;
                const std::size_t files = open_files();
                plan = {};
                plan.kind = kinds[k];
                plan.nth = nth;
                plan.error = error;
                INFO(kind_names[k] << " number " << nth << " fails: " << std::strerror(error));
                {
                    const OpenResult result = open_serial(terminal.device, {}, calls);
                    INFO(result.problem);
                    if (error == EINTR) CHECK(result.problem.empty());
                    CHECK(static_cast<bool>(result.port) == result.problem.empty());
                    if (!result.problem.empty()) {
                        CHECK(result.problem.find(terminal.device) == 0);
                        CHECK(result.problem.size() > terminal.device.size() + 10);
                    }
                    CHECK(open_files() == files + (result.port ? 1u : 0u));
                    if (result.port) give_back(result.port.get());
                }
                const bool reached = plan.failed;
                plan = {};
                const OpenResult again = open_serial(terminal.device, {}, calls);
                CHECK(again.problem.empty());
                give_back(again.port.get());
                if (!reached) break;
                REQUIRE(nth < 40);
            }
        }
    }
}

TEST_CASE("while reading or writing, a call that fails is made again or recorded as a break behind every byte that came") {
    const std::string said = "-18.78 lbF\r\n4.285 N\r\n0.5 kgF\r\n";
    for (std::size_t k = 1; k < 5; ++k) {
        if (kinds[k] == Kind::flock) continue;
        for (const int error : errors) {
            for (int nth = 1;; ++nth) {
                PseudoTerminal terminal;
                plan = {};
                INFO(kind_names[k] << " number " << nth << " fails: " << std::strerror(error));
                const Heard heard = run(terminal.device, 0.03, true, [&](Sequencer& loop, Heard&) {
                    plan.kind = kinds[k];
                    plan.nth = nth;
                    plan.error = error;
                    plan.said_bytes = said.size();
                    for (std::size_t part = 0; part < 3; ++part)
                        loop.after(0.006 * static_cast<double>(part),
                                   [&, part] { terminal.write(said.substr(part * said.size() / 3, said.size() / 3)); });
                    loop.after(0.02, [&] { loop.count_line_errors(); });
                });
                REQUIRE_FALSE(heard.states.empty());
                CHECK(heard.states.front() == "opened");
                CHECK(heard.bytes.size() == plan.read_bytes);
                CHECK(said.compare(0, heard.bytes.size(), heard.bytes) == 0);
                const bool passes = error == EINTR || error == EAGAIN || kinds[k] == Kind::ioctl;
                if (!plan.failed || passes) {
                    CHECK(heard.bytes == said);
                    CHECK(heard.states.size() == 1);
                } else {
                    CHECK(heard.states.size() == 2);
                    CHECK(heard.states.back() == "lost: " + std::string(std::strerror(error)));
                }
                if (kinds[k] == Kind::write && nth == 1) CHECK(heard.sent.empty() == (error != EINTR));
                if (!plan.failed) break;
                REQUIRE(nth < 40);
            }
        }
    }
}

TEST_CASE("after a break the port is opened again by its name, and what comes then arrives") {
    for (const Kind kind : {Kind::read, Kind::write}) {
        PseudoTerminal terminal;
        plan = {};
        const Heard heard = run(terminal.device, 0.5, false, [&](Sequencer& loop, Heard&) {
            plan.kind = kind;
            plan.nth = 1;
            plan.error = EIO;
            plan.said_bytes = 100;  // more than ever comes: the run ends at a tick
            loop.after(0.005, [&] { terminal.write("1 N\r\n"); });
            loop.after(0.4, [&] { terminal.write("2 N\r\n"); });
        });
        REQUIRE(heard.states.size() == 3);
        CHECK(heard.states[1].starts_with("lost: "));
        CHECK(heard.states[2] == "opened");
        CHECK(heard.bytes.ends_with("2 N\r\n"));
    }
}

TEST_CASE("a port that a write fails on is read to its end before the break is recorded") {
    PseudoTerminal terminal;
    plan = {};
    const Heard heard = run(terminal.device, 0.03, true, [&](Sequencer& loop, Heard&) {
        loop.after(0.01, [&] {
            terminal.write("7 N\r\n");
            plan.kind = Kind::write;
            plan.nth = 1;
            plan.error = EIO;
            loop.send(0, "?\r");
        });
    });
    CHECK(heard.before_break == "7 N\r\n");
    CHECK(heard.states.size() == 2);
}

TEST_CASE("a port that takes a request byte by byte is told of with what it took") {
    PseudoTerminal terminal;
    plan = {};
    plan.short_writes = true;
    const Heard heard = run(terminal.device, 0.02, true, [](Sequencer&, Heard&) {});
    CHECK(heard.sent == "?");
    CHECK(heard.states == std::vector<std::string>{"opened"});
}

TEST_CASE("a port that never stops talking does not keep the loop from its ticks") {
    PseudoTerminal terminal;
    plan = {};
    const SetUp set_up = gauge_at(terminal.device);
    std::size_t ticks = 0;
    Sequencer* loop = nullptr;
    Sequencer sequencer(
        set_up,
        [&](const Event& event) {
            if (std::holds_alternative<Tick>(event.what) && ++ticks == 2) loop->stop();
        },
        {.open = system_port_calls.open,
         .ioctl = system_port_calls.ioctl,
         .flock = system_port_calls.flock,
         .read = [](int, void* buffer, std::size_t size) {
             std::memset(buffer, 'x', size);
             return static_cast<ssize_t>(size);
         },
         .write = system_port_calls.write});
    loop = &sequencer;
    REQUIRE(sequencer.open_ports().empty());
    terminal.write("x");
    sequencer.run();
    CHECK(ticks == 2);
}

TEST_CASE("a port that is not there at the start is tried again until it is") {
    PseudoTerminal terminal;
    plan = {};
    plan.said_bytes = 100;
    const auto link = std::filesystem::temp_directory_path() / ("halfturn_late_port_" + std::to_string(::getpid()));
    std::filesystem::remove(link);
    std::string problem;
    const Heard heard = run(link.string(), 0.5, false, [&](Sequencer& loop, Heard&) {
        problem = loop.port_problem(0);
        CHECK_FALSE(loop.hopeless());
        loop.after(0.1, [&] { std::filesystem::create_symlink(terminal.device, link); });
        loop.after(0.3, [&] {
            CHECK(loop.port_problem(0).empty());
            terminal.write("1 N\r\n");
        });
    });
    std::filesystem::remove(link);
    CHECK(problem.find("is not there") != std::string::npos);
    CHECK(heard.states == std::vector<std::string>{"opened"});
    CHECK(heard.bytes == "1 N\r\n");

    // What can't become a port is said at once.
    const SetUp folder = gauge_at("/tmp");
    Sequencer sequencer(folder, [](const Event&) {});
    CHECK(sequencer.open_ports().size() == 1);
    CHECK(sequencer.hopeless());
}

TEST_CASE("two programs do not share a port") {
    PseudoTerminal terminal;
    const OpenResult one = open_serial(terminal.device, {});
    REQUIRE(one.problem.empty());
    const OpenResult two = open_serial(terminal.device, {});
    CHECK(two.problem.find("in use") != std::string::npos);
    CHECK(two.may_pass);
    // Also where the other one holds no lock but has taken the line for itself.
    PseudoTerminal other;
    const int fd = ::open(other.device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    REQUIRE(::ioctl(fd, TIOCEXCL) == 0);
    CHECK(open_serial(other.device, {}).problem.find("in use") != std::string::npos);
    ::close(fd);
}

TEST_CASE("what the kernel counts on a line is recorded as it grows") {
    PseudoTerminal terminal;
    plan = {};
    plan.has_counters = true;
    plan.counters.frame = 5;  // before the job: not its own
    const Heard heard = run(terminal.device, 0.02, false, [](Sequencer& loop, Heard&) {
        loop.count_line_errors();
        plan.counters.frame = 7;
        plan.counters.buf_overrun = 1;
        loop.count_line_errors();
        loop.count_line_errors();
        plan.counters.brk = 2;
        plan.counters.parity = 1;
        loop.count_line_errors();
    });
    REQUIRE(heard.errors.size() == 2);
    CHECK(heard.errors[0] == LineErrors{2, 0, 0, 1, 0});
    CHECK(heard.errors[1] == LineErrors{0, 1, 0, 0, 2});
    CHECK(line_errors_text(heard.errors[0]) == "2 framing errors, 1 buffer overrun");
}

}  // namespace halfturn::test
