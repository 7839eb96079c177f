// Eight instruments at a thousand lines a second each, all in one process: how old a value is when it has been judged, and what
// a line costs, beside a loop that reads the same pseudo-terminals and does nothing with the bytes.
#include <fcntl.h>
#include <sys/epoll.h>
#include <time.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <chrono>
#include <memory>
#include <stdexcept>
#include <thread>
#include <vector>

#include "bench/bench.hpp"
#include "core/set_up.hpp"
#include "ports/sequencer.hpp"
#include "practice/pty.hpp"
#include "watch/judge.hpp"

namespace halfturn::bench {
namespace {

using Clock = std::chrono::steady_clock;

struct Instrument {
    std::string_view format, line;
    Measure measures;
    Unit unit;
};
constexpr std::array<Instrument, 8> instruments = {{
    {"hdr-comma", "ST,GS,+00012.5 N\r\n", Measure::force, Unit::N},
    {"value-unit", "12.34 mm\r\n", Measure::screw_travel, Unit::mm},
    {"value-unit", "-0.05 mm\r\n", Measure::ring_travel, Unit::mm},
    {"value-text", "1600\r\n", Measure::turns, Unit::counts},
    {"hdr-comma", "US,NT,+00003.1 N\r\n", Measure::force, Unit::N},
    {"bare-value", "8.120000\n", Measure::screw_travel, Unit::mm},
    {"bare-value", "0.015000\n", Measure::ring_travel, Unit::mm},
    {"value-text", "-77\r\n", Measure::turns, Unit::counts},
}};
constexpr int lines_each = 1000, rounds = 5;   // a second a round

double thread_us() {
    timespec used{};
    ::clock_gettime(CLOCK_THREAD_CPUTIME_ID, &used);
    return 1e6 * static_cast<double>(used.tv_sec) + 1e-3 * static_cast<double>(used.tv_nsec);
}

std::int64_t now_ns() { return Clock::now().time_since_epoch().count(); }

// The instruments' ends, and when each line was written.
struct Bench {
    std::vector<practice::Pty> ptys;
    std::array<std::vector<std::atomic<std::int64_t>>, instruments.size()> written_ns;
    Bench() {
        for (std::size_t i = 0; i < instruments.size(); ++i) {
            ptys.push_back(practice::Pty::create());
            written_ns[i] = std::vector<std::atomic<std::int64_t>>(lines_each);
        }
    }
    // One line of each every millisecond, the instruments an eighth of that apart in pairs.
    void talk() {
        auto next = Clock::now();
        for (int line = 0; line < lines_each; ++line)
            for (std::size_t i = 0; i < instruments.size(); ++i) {
                if (i % 2 == 0) std::this_thread::sleep_until(next += std::chrono::microseconds(250));
                written_ns[i][static_cast<std::size_t>(line)] = now_ns();
                ptys[i].write(instruments[i].line);
            }
    }
    void say_once() {
        for (std::size_t i = 0; i < instruments.size(); ++i) ptys[i].write(instruments[i].line);
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
    }
};

struct Cost {
    double us_a_line = 0;
    std::vector<double> ages_ms;
};

// epoll and read, and no more than counting the lines by their length.
Cost raw_loop(Bench& bench) {
    Cost cost;
    std::atomic<bool> open{false}, stop{false};
    std::thread loop([&] {
        const int epoll = ::epoll_create1(EPOLL_CLOEXEC);
        std::array<int, instruments.size()> ports{};
        for (std::size_t i = 0; i < ports.size(); ++i) {
            ports[i] = ::open(bench.ptys[i].device().c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
            epoll_event wanted{.events = EPOLLIN, .data = {.u64 = i}};
            ::epoll_ctl(epoll, EPOLL_CTL_ADD, ports[i], &wanted);
        }
        open = true;
        char bytes[4096];
        std::array<std::size_t, instruments.size()> read{};
        const double before_us = thread_us();
        while (!stop) {
            std::array<epoll_event, instruments.size()> ready{};
            const int count = ::epoll_wait(epoll, ready.data(), static_cast<int>(ready.size()), 50);
            for (int e = 0; e < count; ++e) {
                const std::size_t i = ready[static_cast<std::size_t>(e)].data.u64;
                const ssize_t size = ::read(ports[i], bytes, sizeof bytes);
                const std::int64_t now = now_ns();
                for (std::size_t lines = size > 0 ? static_cast<std::size_t>(size) / instruments[i].line.size() : 0;
                     lines > 0 && read[i] < lines_each; --lines)
                    cost.ages_ms.push_back(1e-6 * static_cast<double>(now - bench.written_ns[i][read[i]++]));
            }
        }
        cost.us_a_line = (thread_us() - before_us) / (lines_each * instruments.size());
        for (const int port : ports) ::close(port);
        ::close(epoll);
    });
    while (!open) std::this_thread::yield();
    bench.talk();
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    stop = true;
    loop.join();
    return cost;
}

SetUp set_up_for(const Bench& bench) {
    SetUp set_up;
    for (std::size_t i = 0; i < instruments.size(); ++i) {
        const Format& format = *find_format(instruments[i].format);
        PortSetUp port{std::to_string(i), bench.ptys[i].device(), std::string(format.id), {}, format.line, format.silence_s, format.lag_s};
        port.marked = true;
        if (instruments[i].format == "bare-value") port.settings["unit"] = "mm";
        if (instruments[i].format == "value-text") port.settings["unit"] = "counts";
        set_up.ports.push_back(port);
        ChannelSetUp channel;
        channel.port = static_cast<std::uint16_t>(i);
        channel.measures = instruments[i].measures;
        channel.unit = instruments[i].unit;
        channel.counts_per_turn = channel.measures == Measure::turns ? 1200 : 0;
        channel.capacity = 5000;
        set_up.channels.push_back(channel);
    }
    set_up.pitch_mm = 1.25;
    set_up.force_limit_N = 5000;
    return set_up;
}

Cost judged(Bench& bench) {
    Cost cost;
    Judge judge(set_up_for(bench));
    std::array<std::size_t, instruments.size()> read{};   // readings of each, that of say_once() first
    judge.set_reading_sink([&](const DecodedReading& reading) { ++read[reading.channel]; });
    Sequencer sequencer(judge.set_up(), [&](const Event& event) {
        const auto* arrived = std::get_if<BytesArrived>(&event.what);
        const std::size_t before = arrived ? read[arrived->port] : 0;
        judge.on(event);
        if (!arrived) return;
        keep(judge.warnings().size());
        const std::int64_t now = now_ns();
        for (std::size_t line = before; line < read[arrived->port]; ++line)
            if (line > 0) cost.ages_ms.push_back(1e-6 * static_cast<double>(now - bench.written_ns[arrived->port][line - 1]));
    });
    if (!sequencer.open_ports().empty()) throw std::runtime_error("can't open the pseudo-terminals");
    double before_us = 0;
    std::thread loop([&] {
        sequencer.run();
        cost.us_a_line = (thread_us() - before_us) / (lines_each * instruments.size());
    });
    bench.say_once();  // ends what a port opened in the middle of a line drops
    bench.say_once();
    sequencer.post([&] {
        sequencer.operator_did(Act::begin);
        cost.ages_ms.clear();
        before_us = thread_us();
    });
    bench.talk();
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    sequencer.post([&] { sequencer.stop(); });
    loop.join();
    for (const std::size_t count : read)
        if (count != lines_each + 1)
            throw std::runtime_error("not every line was decoded: " + std::to_string(count - 1) + " of " +
                                     std::to_string(lines_each));
    return cost;
}

}  // namespace

void measure_eight(Figures& figures) {
    std::vector<double> raw_us, judged_us, raw_ms, judged_ms;
    for (int round = 0; round < rounds; ++round) {   // in turns, so that whatever else the machine does falls on both
        Bench one, other;
        const Cost raw = raw_loop(one), ours = judged(other);
        raw_us.push_back(raw.us_a_line);
        judged_us.push_back(ours.us_a_line);
        raw_ms.insert(raw_ms.end(), raw.ages_ms.begin(), raw.ages_ms.end());
        judged_ms.insert(judged_ms.end(), ours.ages_ms.begin(), ours.ages_ms.end());
    }
    const double ours = quantile(judged_us, 0.5), peer = quantile(raw_us, 0.5), age = quantile(judged_ms, 0.99),
                 raw_age = quantile(raw_ms, 0.99);
    figures.add({"eight instruments at 1000 lines a second: processor time a line, of epoll and read", Goal::at_most, 4,
                 ours / peer, "x", shown(ours, "us a line"), shown(peer, "us a line"),
                 std::to_string(rounds) + " rounds of 8000 lines, every one of them decoded, gated and judged"});
    figures.add({"eight instruments at 1000 lines a second: age of a judged value, p99", Goal::at_most, 1.5, age / raw_age, "x",
                 shown(age, "ms"), shown(raw_age, "ms"),
                 "at the median " + shown(quantile(judged_ms, 0.5), "ms") + ", peer " + shown(quantile(raw_ms, 0.5), "ms")});
}

}  // namespace halfturn::bench
