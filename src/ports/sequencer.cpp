#include "ports/sequencer.hpp"

#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <optional>
#include <utility>

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>

#include "ports/line_settings.hpp"
#include "ports/poller.hpp"
#include "ports/serial_port.hpp"

namespace halfturn {
namespace {

namespace asio = boost::asio;
using Error = boost::system::error_code;

constexpr double first_retry_s = 0.2, longest_retry_s = 2;
constexpr Instant slept_when_over = nanoseconds_per_second / 2;
constexpr double poll_check_s = 0.005;
constexpr int most_reads_at_once = 16;
constexpr std::uint64_t ticks_between_counts = 20;

Instant clock_ns(clockid_t clock) {
    timespec t{};
    clock_gettime(clock, &t);
    return static_cast<Instant>(t.tv_sec) * nanoseconds_per_second + t.tv_nsec;
}

}  // namespace

struct Sequencer::Inside {
    struct Port {
        std::string device;
        LineSettings line;
        std::unique_ptr<asio::posix::stream_descriptor> stream;
        Poller poller;
        double retry_s = first_retry_s;
        bool wanted = false;       // tried again until it is open
        std::string problem = {};  // why it was never open, until it is
        bool may_pass = true;
        std::optional<LineErrors> errors = std::nullopt;  // as the kernel counted them when last looked
    };
    struct Watched {
        asio::posix::stream_descriptor stream;
        Input on_bytes;
    };

    Inside(const SetUp& s, Sink k, const PortCalls& c)
        : set_up(s), sink(std::move(k)), calls(c), tick_timer(io), poll_timer(io), signals(io) {
        started = clock_ns(CLOCK_BOOTTIME);
        awake_offset = clock_ns(CLOCK_BOOTTIME) - clock_ns(CLOCK_MONOTONIC);
        for (const PortSetUp& p : set_up.ports) ports.push_back(Port{p.device, p.line, nullptr, Poller(p)});
    }
    ~Inside() {
        for (Port& port : ports)
            if (port.stream) give_back(port.stream->native_handle(), calls);
    }

    Instant now() const { return fed.empty() ? clock_ns(CLOCK_BOOTTIME) - started : newest; }

    void emit(What what) {
        newest = std::max(newest, now());
        sink(Event{++seq, newest, std::move(what)});
    }

    std::string open(std::uint16_t index) {
        Port& port = ports[index];
        OpenResult result = open_serial(port.device, port.line, calls);
        port.may_pass = result.may_pass;
        if (!result.port) return result.problem;
        auto stream = std::make_unique<asio::posix::stream_descriptor>(io);
        Error error;
        stream->assign(result.port.get(), error);
        if (error) {
            port.may_pass = true;
            return port.device + " can't be waited for: " + error.message();
        }
        result.port.release();
        port.stream = std::move(stream);
        port.wanted = false;
        port.problem.clear();
        port.retry_s = first_retry_s;
        port.errors.reset();
        if (LineErrors errors; read_line_errors(port.stream->native_handle(), errors, calls)) port.errors = errors;
        emit(PortChanged{index, PortState::opened, port.device});
        wait(index);
        return {};
    }

    void wait(std::uint16_t index) {
        auto* stream = ports[index].stream.get();
        stream->async_wait(asio::posix::stream_descriptor::wait_read, [this, index, stream](const Error& error) {
            if (error == asio::error::operation_aborted || ports[index].stream.get() != stream) return;
            if (drain(index)) wait(index);
        });
    }

    // Reads all there is. False when the port died.
    bool drain(std::uint16_t index) {
        if (!ports[index].stream) return false;
        for (int reads = 0; reads < most_reads_at_once; ++reads) {
            const ssize_t count =
                uninterrupted([&] { return calls.read(ports[index].stream->native_handle(), buffer.data(), buffer.size()); });
            if (count > 0) {
                ports[index].poller.heard();
                emit(BytesArrived{index, std::string(buffer.data(), static_cast<std::size_t>(count))});
                if (static_cast<std::size_t>(count) < buffer.size()) return true;
                continue;
            }
            if (count < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) return true;
            lose(index, count == 0 ? "the port hung up" : std::strerror(errno));
            return false;
        }
        return true;  // it sends faster than a line can; the others and the ticks have their turn first
    }

    void lose(std::uint16_t index, const std::string& why) {
        count_errors(index);
        give_back(ports[index].stream->native_handle(), calls);
        Error ignored;
        ports[index].stream->close(ignored);
        ports[index].stream.reset();
        ports[index].wanted = true;
        emit(PortChanged{index, PortState::lost, why});
        retry(index);
    }

    void retry(std::uint16_t index) {
        const double wait_s = ports[index].retry_s;
        ports[index].retry_s = std::min(longest_retry_s, wait_s * 2);
        later(wait_s, [this, index] {
            Port& port = ports[index];
            if (!port.wanted || port.stream) return;
            const std::string problem = open(index);
            if (problem.empty()) return;
            if (!port.problem.empty()) port.problem = problem;
            if (port.may_pass || port.problem.empty()) retry(index);
        });
    }

    void count_errors(std::uint16_t index) {
        Port& port = ports[index];
        LineErrors now;
        if (!port.stream || !port.errors || !read_line_errors(port.stream->native_handle(), now, calls)) return;
        const LineErrors before = std::exchange(*port.errors, now);
        const LineErrors more = {now.framing - before.framing, now.parity - before.parity, now.overrun - before.overrun,
                                 now.buffer_overrun - before.buffer_overrun, now.breaks - before.breaks};
        if (more != LineErrors{}) emit(LineErrorsCounted{index, more});
    }

    void later(double delay_s, std::function<void()> what) {
        auto timer = std::make_shared<asio::steady_timer>(io, std::chrono::nanoseconds(from_seconds(delay_s)));
        timer->async_wait([timer, what = std::move(what)](const Error& error) {
            if (!error) what();
        });
    }

    void send(std::uint16_t index, const std::string& bytes) {
        if (!ports[index].stream) return;
        // Requests are a few bytes: either the port takes them at once or it is stuck, and then the answer is missed, which
        // the silence limit says.
        const ssize_t count = uninterrupted([&] { return calls.write(ports[index].stream->native_handle(), bytes.data(), bytes.size()); });
        if (count > 0) emit(BytesSent{index, bytes.substr(0, static_cast<std::size_t>(count))});
        else if (count < 0 && errno != EAGAIN) {
            const std::string why = std::strerror(errno);
            if (drain(index)) lose(index, why);  // what it still said comes first
        }
    }

    void poll_ports() {
        bool any = false;
        for (std::size_t i = 0; i < ports.size(); ++i) {
            Port& port = ports[i];
            any |= port.poller.polls();
            if (!port.poller.polls() || !port.stream || !port.poller.due(now())) continue;
            port.poller.asked(now());
            send(static_cast<std::uint16_t>(i), port.poller.request());
        }
        if (!any) return;
        poll_timer.expires_after(std::chrono::nanoseconds(from_seconds(poll_check_s)));
        poll_timer.async_wait([this](const Error& error) {
            if (!error) poll_ports();
        });
    }

    void tick() {
        tick_timer.expires_at(tick_timer.expiry() + std::chrono::nanoseconds(tick_every));
        tick_timer.async_wait([this](const Error& error) {
            if (error) return;
            const Instant offset = clock_ns(CLOCK_BOOTTIME) - clock_ns(CLOCK_MONOTONIC);
            if (offset - awake_offset > slept_when_over) emit(Suspended{offset - awake_offset});
            awake_offset = offset;
            // What has arrived goes first: a tick must not call an instrument silent whose bytes lie in the kernel.
            for (std::size_t i = 0; i < ports.size(); ++i)
                if (ports[i].stream) drain(static_cast<std::uint16_t>(i));
            if (++ticks % ticks_between_counts == 0)
                for (std::size_t i = 0; i < ports.size(); ++i) count_errors(static_cast<std::uint16_t>(i));
            emit(Tick{});
            tick();
        });
    }

    void feed_from(std::size_t index) {
        if (index >= fed.size()) return when_fed();
        newest = std::max(newest, fed[index].at);
        emit(fed[index].what);
        asio::post(io, [this, index] { feed_from(index + 1); });
    }

    void watch(const std::shared_ptr<Watched>& watched) {
        watched->stream.async_wait(asio::posix::stream_descriptor::wait_read, [this, watched](const Error& error) {
            if (error) return;
            std::array<char, 4096> bytes;
            const ssize_t count = ::read(watched->stream.native_handle(), bytes.data(), bytes.size());
            if (count < 0 && (errno == EINTR || errno == EAGAIN)) return watch(watched);
            watched->on_bytes(std::string_view(bytes.data(), count > 0 ? static_cast<std::size_t>(count) : 0));
            if (count > 0) watch(watched);
        });
    }

    const SetUp& set_up;
    Sink sink;
    PortCalls calls;
    asio::io_context io{1};
    asio::steady_timer tick_timer, poll_timer;
    asio::signal_set signals;
    std::vector<Port> ports;
    std::vector<Event> fed;
    std::function<void()> when_fed;
    std::array<char, 16384> buffer{};
    Instant started = 0, awake_offset = 0, newest = 0;
    std::uint64_t seq = 0, ticks = 0;
};

Sequencer::Sequencer(const SetUp& set_up, Sink sink, const PortCalls& calls)
    : inside_(std::make_unique<Inside>(set_up, std::move(sink), calls)) {}
Sequencer::~Sequencer() = default;

std::vector<std::string> Sequencer::open_ports() {
    for (std::size_t i = 0; i < inside_->ports.size(); ++i) {
        const auto index = static_cast<std::uint16_t>(i);
        Inside::Port& port = inside_->ports[i];
        port.problem = inside_->open(index);
        port.wanted = !port.problem.empty();
        if (port.wanted && port.may_pass) inside_->retry(index);
    }
    std::vector<std::string> problems;
    for (const Inside::Port& port : inside_->ports)
        if (!port.problem.empty()) problems.push_back(port.problem);
    return problems;
}

const std::string& Sequencer::port_problem(std::uint16_t port) const { return inside_->ports[port].problem; }

bool Sequencer::hopeless() const {
    return std::any_of(inside_->ports.begin(), inside_->ports.end(),
                       [](const Inside::Port& port) { return !port.problem.empty() && !port.may_pass; });
}

void Sequencer::count_line_errors() {
    for (std::size_t i = 0; i < inside_->ports.size(); ++i) inside_->count_errors(static_cast<std::uint16_t>(i));
}

void Sequencer::feed(std::vector<Event> events, std::function<void()> when_over) {
    inside_->fed = std::move(events);
    inside_->when_fed = std::move(when_over);
}

void Sequencer::operator_did(Act act, const std::string& text) { inside_->emit(OperatorDid{act, text}); }
void Sequencer::recorder_says(Recording state, const std::string& detail) { inside_->emit(RecorderState{state, detail}); }
void Sequencer::send(std::uint16_t port, const std::string& bytes) { inside_->send(port, bytes); }

void Sequencer::rename_port(std::uint16_t port, const std::string& device) {
    inside_->ports[port].device = device;
    inside_->ports[port].retry_s = first_retry_s;
}

std::string Sequencer::set_line(std::uint16_t port, const LineSettings& line) {
    inside_->ports[port].line = line;
    auto& stream = inside_->ports[port].stream;
    return stream ? halfturn::set_line(stream->native_handle(), line, inside_->calls) : "the port is not open";
}

void Sequencer::watch_input(int fd, Input on_bytes) {
    const int own = ::dup(fd);  // the descriptor given stays the caller's
    if (own < 0) return;
    inside_->watch(std::make_shared<Inside::Watched>(
        Inside::Watched{asio::posix::stream_descriptor(inside_->io, own), std::move(on_bytes)}));
}

void Sequencer::after(double delay_s, std::function<void()> what) { inside_->later(delay_s, std::move(what)); }
void Sequencer::post(std::function<void()> what) { asio::post(inside_->io, std::move(what)); }

void Sequencer::on_signal(std::function<void(int)> what) {
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) inside_->signals.add(signal);
    inside_->signals.async_wait([this, what = std::move(what)](const Error& error, int signal) {
        if (error) return;
        what(signal);
        on_signal(what);
    });
}

Instant Sequencer::now() const { return inside_->now(); }

void Sequencer::run() {
    if (!inside_->fed.empty()) {
        asio::post(inside_->io, [this] { inside_->feed_from(0); });
        inside_->io.run();
        return;
    }
    inside_->tick_timer.expires_after(std::chrono::nanoseconds(tick_every));
    inside_->tick();
    inside_->poll_ports();
    inside_->io.run();
}

void Sequencer::stop() { inside_->io.stop(); }

}  // namespace halfturn
