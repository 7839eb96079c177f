// How soon a byte on the wire is a judged sample, and a warning text on a page: over a real pseudo-terminal and a loopback
// socket, beside the least that any program could do there.
#include <fcntl.h>
#include <netinet/in.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <functional>
#include <optional>
#include <random>
#include <stdexcept>
#include <thread>

#include "bench/bench.hpp"
#include "curve/frozen_set_up.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "live/live_job.hpp"
#include "ports/sequencer.hpp"
#include "practice/pty.hpp"
#include "record/disk.hpp"
#include "screen/desk.hpp"
#include "screen/raw_client.hpp"
#include "screen/server.hpp"
#include "watch/judge.hpp"

namespace halfturn::bench {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::microseconds;

constexpr std::string_view quiet_line = "ST,GS,+00012.5 N\r\n", overload_line = "OL,GS,+9999999 N\r\n";
constexpr std::string_view job_toml =
    "work = \"out\"\n[bearing]\ndesignation = \"61902\"\n[housing]\nmaterial = \"6061-T6\"\noutside_diameter_mm = 40\nshape = "
    "\"flush\"\n";

double ms_since(Clock::time_point start) { return std::chrono::duration<double, std::milli>(Clock::now() - start).count(); }

// The pause between lines differs, so that nothing falls into step with a timer.
class Pauses {
public:
    void rest(int least_us, int most_us) {
        std::this_thread::sleep_for(microseconds(std::uniform_int_distribution<int>(least_us, most_us)(gen_)));
    }

private:
    std::mt19937 gen_{7};
};

SetUp set_up_for(const std::string& device) {
    const std::string rig = "name = \"bench\"\n[screw]\nthread = \"M8\"\n[press]\nstiffness_N_per_mm = 20000\nforce_limit_N = 5000\n"
                            "[[port]]\nname = \"force\"\ndevice = \"" + device + "\"\nformat = \"hdr-comma\"\n"
                            "[[channel]]\nport = \"force\"\nmeasures = \"force\"\nunit = \"N\"\ncapacity = 5000\n";
    return curve::freeze(read_job_text(std::string(job_toml), "job"), read_rig_text(rig, "rig"), 1).set_up;
}

// ---- the peers: epoll, read, and no more -----------------------------------------------------------------------------------

// Reads the port in a thread of its own and calls `arrived` after each read, until it goes away.
class RawLoop {
public:
    RawLoop(const std::string& device, std::function<void()> arrived)
        : port_(::open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)), arrived_(std::move(arrived)) {
        if (port_ < 0) throw std::runtime_error("can't open " + device);
        thread_ = std::thread([this] { run(); });
    }
    ~RawLoop() {
        stop_ = true;
        thread_.join();
        ::close(port_);
    }

private:
    void run() {
        const int loop = ::epoll_create1(EPOLL_CLOEXEC);
        epoll_event wanted{.events = EPOLLIN, .data = {.fd = port_}};
        ::epoll_ctl(loop, EPOLL_CTL_ADD, port_, &wanted);
        char bytes[4096];
        while (!stop_) {
            epoll_event event{};
            if (::epoll_wait(loop, &event, 1, 50) == 1 && ::read(port_, bytes, sizeof bytes) > 0) arrived_();
        }
        ::close(loop);
    }

    int port_;
    std::function<void()> arrived_;
    std::atomic<bool> stop_{false};
    std::thread thread_;
};

// One connection over the loopback: text put in at one end comes out at a test's client.
struct Loopback {
    int listener = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0), end = -1;
    std::optional<test::RawClient> client;
    Loopback() {
        sockaddr_in at{};
        at.sin_family = AF_INET;
        at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        socklen_t size = sizeof at;
        if (::bind(listener, reinterpret_cast<sockaddr*>(&at), size) != 0 || ::listen(listener, 1) != 0)
            throw std::runtime_error("no loopback");
        ::getsockname(listener, reinterpret_cast<sockaddr*>(&at), &size);
        client.emplace(ntohs(at.sin_port));
        end = ::accept(listener, nullptr, nullptr);
    }
    ~Loopback() {
        ::close(end);
        ::close(listener);
    }
};

// ---- wire to judged sample ----------------------------------------------------------------------------------------------

struct Times {
    std::vector<double> ms;
    void add(const Times& more) { ms.insert(ms.end(), more.ms.begin(), more.ms.end()); }
    double at(double p) const { return quantile(ms, p); }
};

// Writes lines with pauses; `seen` says when what was written has arrived.
Times write_lines(practice::Pty& pty, int count, std::atomic<std::int64_t>& seen_ns) {
    Times times;
    Pauses pauses;
    for (int i = 0; i < count; ++i) {
        pauses.rest(600, 2500);
        seen_ns = 0;
        const auto start = Clock::now();
        pty.write(quiet_line);
        std::int64_t seen = 0;
        for (auto give_up = start + std::chrono::milliseconds(500); (seen = seen_ns) == 0 && Clock::now() < give_up;)
            std::this_thread::sleep_for(microseconds(200));
        if (seen) times.ms.push_back(1e-6 * static_cast<double>(seen - start.time_since_epoch().count()));
    }
    return times;
}

std::int64_t now_ns() { return Clock::now().time_since_epoch().count(); }

Times raw_reads(practice::Pty& pty, int count) {
    std::atomic<std::int64_t> seen{0};
    RawLoop loop(pty.device(), [&] { seen = now_ns(); });
    return write_lines(pty, count, seen);
}

Times judged_samples(practice::Pty& pty, int count) {
    std::atomic<std::int64_t> seen{0};
    const SetUp set_up = set_up_for(pty.device());
    Judge judge(set_up);
    Sequencer sequencer(judge.set_up(), [&](const Event& event) {
        judge.on(event);
        if (std::holds_alternative<BytesArrived>(event.what)) {
            keep(judge.snapshot().force_N);
            seen = now_ns();
        }
    });
    if (!sequencer.open_ports().empty()) throw std::runtime_error("can't open the pseudo-terminal");
    std::thread loop([&] { sequencer.run(); });
    for (int i = 0; i < 8; ++i) {
        pty.write(quiet_line);
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    sequencer.post([&] {
        sequencer.operator_did(Act::zero);
        sequencer.operator_did(Act::begin);
    });
    Times times = write_lines(pty, count, seen);
    sequencer.post([&] { sequencer.stop(); });
    loop.join();
    return times;
}

void measure_samples(Figures& figures) {
    Times raw, judged;
    for (int round = 0; round < 20; ++round) {   // side by side, so that whatever else the machine does falls on both
        practice::Pty one = practice::Pty::create(), other = practice::Pty::create();
        raw.add(raw_reads(one, 100));
        judged.add(judged_samples(other, 100));
    }
    for (const auto& [name, p, limit] :
         {std::tuple{"wire to judged sample, p50", 0.5, 1.25}, std::tuple{"wire to judged sample, p99", 0.99, 1.5}})
        figures.add({name, Goal::at_most, limit, judged.at(p) / raw.at(p), "x", shown(1e3 * judged.at(p), "us"),
                     shown(1e3 * raw.at(p), "us"),
                     "2000 lines over a pseudo-terminal; the peer is epoll and read, and does nothing with the bytes"});
}

// ---- pseudo-terminal to warning text on a page --------------------------------------------------------------------------

constexpr std::string_view warning_words = "is past its range";

// The raw loop sends a text of a state's size instead of judging.
Times raw_texts(int count, std::size_t text_bytes) {
    practice::Pty pty = practice::Pty::create();
    Loopback loopback;
    const std::string text = std::string(text_bytes, ' ') + std::string(warning_words);
    RawLoop loop(pty.device(), [&] { keep(::send(loopback.end, text.data(), text.size(), MSG_NOSIGNAL)); });
    Times times;
    Pauses pauses;
    for (int i = 0; i < count; ++i) {
        pauses.rest(3000, 9000);
        loopback.client->forget();
        const auto start = Clock::now();
        pty.write(overload_line);
        loopback.client->read_until(warning_words, 2);
        times.ms.push_back(ms_since(start));
    }
    return times;
}

// One job after the other, each from its instruments' first reading to one warning on the page.
class WarningRounds {
public:
    // Without a disk nothing is recorded. What a sync takes it takes from the job's begin to its warning.
    WarningRounds(std::string store, test::Disk* disk, int sync_takes_ms)
        : store_(std::move(store)), disk_(disk), sync_takes_ms_(sync_takes_ms),
          server_({.idle_s = 600}, [this](const screen::PageAct& act) { desk_.act(act); }) {
        desk_.publish_to(server_);
        client_.emplace(server_.port());
        const std::string host = "127.0.0.1:" + std::to_string(server_.port());
        client_->send("GET /live HTTP/1.1\r\nHost: " + host + "\r\nOrigin: http://" + host +
                      "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: "
                      "dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n");
        client_->read_until("\r\n\r\n");
    }

    void run(int count) { for (int i = 0; i < count; ++i) round(); }
    const Times& times() const { return times_; }
    std::size_t text_bytes() const { return text_bytes_; }

private:
    void round() {
        practice::Pty pty = practice::Pty::create();
        live::Options how;
        how.store_path = store_;
        how.record = disk_ != nullptr;
        live::LiveJob job(set_up_for(pty.device()), how);
        const auto shown = desk_.show(job);
        std::atomic<live::Stage> stage{live::Stage::opening};
        job.on_change = [&] {
            desk_.changed();
            stage = job.stage();
        };
        std::thread bench([&] { job.run(); });
        const auto talk_until = [&](live::Stage wanted) {
            for (int i = 0; i < 1000 && stage != wanted; ++i) {
                pty.write(quiet_line);
                pauses_.rest(2000, 4000);
            }
        };
        talk_until(live::Stage::ready);
        if (disk_) disk_->sync_takes_ms = sync_takes_ms_;
        job.loop().post([&] {
            job.zero();
            job.begin();
        });
        talk_until(live::Stage::running);
        for (int i = 0; i < 6; ++i) {
            pty.write(quiet_line);
            pauses_.rest(2000, 9000);
        }
        client_->read_until("\"running\"", 1);
        client_->read_until("", 0.004);
        client_->forget();
        const auto start = Clock::now();
        pty.write(overload_line);
        const std::string got = client_->read_until(warning_words, 3);
        const double took = ms_since(start);
        if (disk_) disk_->sync_takes_ms = 0;
        job.loop().post([&] { job.end("measured"); });
        bench.join();
        if (got.find(warning_words) == std::string::npos)
            throw std::runtime_error("the warning did not come; the page had: " + got.substr(0, 600));
        times_.ms.push_back(took);
        text_bytes_ = got.size();
    }

    std::string store_;
    test::Disk* disk_;
    int sync_takes_ms_;
    screen::Desk desk_;
    screen::Server server_;
    std::optional<test::RawClient> client_;
    Pauses pauses_;
    Times times_;
    std::size_t text_bytes_ = 2500;
};

void measure_warnings(Figures& figures) {
    test::Disk disk;
    WarningRounds without(scratch_file("none.db"), nullptr, 0), with(scratch_file("live.db"), &disk, 0),
        stalled(scratch_file("stalled.db"), &disk, 500);
    Times raw;
    for (int round = 0; round < 10; ++round) {   // side by side, so that whatever else the machine does falls on all
        without.run(12);
        with.run(12);
        stalled.run(12);
        raw.add(raw_texts(100, without.text_bytes()));
    }
    const double peer = raw.at(0.99);
    const auto add = [&](const std::string& name, double limit, double value_ms, double peer_ms, const std::string& note) {
        figures.add({name, Goal::at_most, limit, value_ms / peer_ms, "x", shown(1e3 * value_ms, "us"), shown(1e3 * peer_ms, "us"), note});
    };
    add("a warning's text on a page, p99, recorded", 2.5, with.times().at(0.99), peer,
        "120 jobs with one warning each; the peer is epoll, read, and a text of the same size sent to the same kind of client");
    add("the same at the median", 2.5, with.times().at(0.5), raw.at(0.5), "not recorded: " + shown(1e3 * without.times().at(0.5), "us"));
    add("recorded against not recorded, p99", 1.5, with.times().at(0.99), without.times().at(0.99), "120 jobs each");
    add("with a disk that takes 500 ms to sync against one that does not, p99", 1.5, stalled.times().at(0.99), with.times().at(0.99), "120 jobs each");
    add("the same at the median, with the slow disk", 1.5, stalled.times().at(0.5), with.times().at(0.5), "");
}

}  // namespace

void measure_live(Figures& figures) {
    measure_samples(figures);
    measure_warnings(figures);
}

}  // namespace halfturn::bench
