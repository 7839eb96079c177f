// The only place that stamps order and steady time: bytes of all ports, operator acts, recorder trouble and ticks leave it
// as one sequence of events. It also is the loop that everything live runs in, on one thread.
//
//   Sequencer sequencer(set_up, [&](const Event& e) { recorder.add(e); judge.on(e); });
//   sequencer.open_ports();  sequencer.watch_input(0, on_key);  sequencer.run();
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/set_up.hpp"
#include "ports/port_calls.hpp"

namespace halfturn {

class Sequencer {
public:
    using Sink = std::function<void(const Event&)>;
    Sequencer(const SetUp& set_up, Sink sink, const PortCalls& calls = system_port_calls);
    ~Sequencer();
    Sequencer(const Sequencer&) = delete;
    Sequencer& operator=(const Sequencer&) = delete;

    // Opens every port. Returns one sentence for each that could not be opened; while the loop runs, those whose trouble may
    // pass are tried again with growing pauses, as lost ones are.
    std::vector<std::string> open_ports();
    // Why this port could not be opened when last tried; empty once it was open. Hopeless: there is one that can't get better.
    const std::string& port_problem(std::uint16_t port) const;
    bool hopeless() const;

    // Instead of ports and ticks: what happened in some job before, each at the time it had then, one after the other as fast
    // as the loop goes round; now() is the time of the newest. Acts of the operator still get their place between them.
    void feed(std::vector<Event> events, std::function<void()> when_over);

    // What happens besides bytes. Call on the loop's thread.
    void operator_did(Act act, const std::string& text = {});
    void recorder_says(Recording state, const std::string& detail);
    void send(std::uint16_t port, const std::string& bytes);
    // Counts what went wrong on the lines since this was last done, where the kernel knows; done every few seconds anyhow.
    void count_line_errors();
    // A port that was lost is tried again by its name, with growing pauses, until it is back. The practice rig's ports come
    // back under a new name, given here.
    void rename_port(std::uint16_t port, const std::string& device);
    // Other line settings on an open port, without closing it (which would restart boards). A sentence when they can't be set.
    std::string set_line(std::uint16_t port, const LineSettings& line);

    // Calls with what was read; an empty text means the input has ended.
    using Input = std::function<void(std::string_view bytes)>;
    void watch_input(int fd, Input on_bytes);
    void after(double delay_s, std::function<void()> what);
    void post(std::function<void()> what);  // from any thread
    void on_signal(std::function<void(int)> what);  // SIGINT, SIGTERM, SIGHUP, on the loop's thread

    Instant now() const;
    void run();   // until stop()
    void stop();

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

}  // namespace halfturn
