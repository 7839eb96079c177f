// What the page costs the browser that shows it: a frame's script and layout, and memory over a shift. The states are a
// practice job's own, through the real desk and server; the browser is driven by tests/page/page_cost.mjs.
#include <unistd.h>

#include <atomic>
#include <boost/json.hpp>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <mutex>
#include <stdexcept>
#include <thread>
#include <utility>
#include <vector>

#include "bench/bench.hpp"
#include "live/live_job.hpp"
#include "screen/desk.hpp"
#include "screen/material.hpp"
#include "screen/server.hpp"
#include "screen/state_json.hpp"

namespace halfturn::bench {
namespace {

constexpr double shift_s = 8 * 3600, states_per_s = 20;   // what desk.cpp publishes at most while nothing changes

boost::json::value page_cost(const std::string& what, const std::string& address, int seconds) {
    const std::string command = "node '" HALFTURN_TESTS_DIR "/page/page_cost.mjs' " + what + " " + address + " " + std::to_string(seconds);
    FILE* pipe = ::popen(command.c_str(), "r");
    if (!pipe) throw std::runtime_error("can't start node");
    std::string out;
    char block[4096];
    for (std::size_t got; (got = std::fread(block, 1, sizeof block, pipe)) > 0;) out.append(block, got);
    if (::pclose(pipe) != 0) throw std::runtime_error("the browser could not be driven; `npm ci` in tests/page, and chromium, are needed");
    return boost::json::parse(out);
}

// A server that shows one job after the other, from a job's stored events, until it goes away.
class Show {
public:
    // `pace`: job time in wall time; 0: as fast as it goes. `curve` is shown instead of the job's own when not empty.
    Show(const test::Material& material, double pace, std::string curve)
        : material_(material), pace_(pace), curve_(std::move(curve)), server_({}, [](const screen::PageAct&) {}) {
        desk_.publish_to(server_);
        thread_ = std::thread([this] {
            while (!over_) show_job();
        });
    }
    ~Show() {
        over_ = true;
        thread_.join();
    }
    std::string address() const { return server_.address(); }
    int jobs() const { return jobs_; }
    // This process's memory by how many jobs it has shown, over the later half: MiB a job.
    double MiB_per_job() const {
        const std::lock_guard lock(mutex_);
        const std::size_t from = resident_.size() / 2, count = resident_.size() - from;
        if (count < 3) return NAN;
        double x = 0, y = 0, xx = 0, xy = 0;
        for (std::size_t i = from; i < resident_.size(); ++i) {
            const auto job = static_cast<double>(i);
            x += job;
            y += resident_[i];
            xx += job * job;
            xy += job * resident_[i];
        }
        const auto n = static_cast<double>(count);
        return (n * xy - x * y) / (n * xx - x * x);
    }

private:
    void show_job() {
        live::Options how;
        how.record = false;
        how.unattended = true;
        how.instead = material_.events;
        live::LiveJob job(material_.set_up, how);
        const auto shown = desk_.show(job);
        const auto start = std::chrono::steady_clock::now();
        bool ending = false;   // which is an event too
        job.on_change = [&] {
            if (over_ && job.stage() == live::Stage::running && !std::exchange(ending, true)) return job.end("measured");
            if (pace_ > 0)
                std::this_thread::sleep_until(
                    start + std::chrono::nanoseconds(static_cast<std::int64_t>(static_cast<double>(job.loop().now()) / pace_)));
            desk_.changed();
            if (!curve_.empty()) server_.publish_data("curve", curve_);
        };
        job.run();
        desk_.changed();
        if (pace_ == 0) std::this_thread::sleep_for(std::chrono::milliseconds(30));   // the page sees each end
        ++jobs_;
        const std::lock_guard lock(mutex_);
        resident_.push_back(resident_MiB(::getpid()));
    }

    const test::Material& material_;
    double pace_;
    std::string curve_;
    std::atomic<bool> over_{false};
    std::atomic<int> jobs_{0};
    mutable std::mutex mutex_;
    std::vector<double> resident_;   // after each job
    screen::Desk desk_;
    screen::Server server_;
    std::thread thread_;
};

// 100 minutes at 80 readings a second: a slow pull to and fro over three turns.
std::string long_curve(const SetUp& set_up) {
    screen::CurvePoints points;
    for (int i = 0; i < 100 * 60 * 80; ++i) {
        const double t_s = i / 80.0, turns = 1.5 + 1.5 * (t_s / 6000) * ((i / 4000) % 2 ? 1 : -0.6);
        points.add(t_s, turns, 900 + 300 * turns + (i % 7) * 9);
    }
    return points.json(set_up);
}

double number(const boost::json::value& value, const char* key) { return value.at(key).to_number<double>(); }

}  // namespace

void measure_page(Figures& figures) {
    const test::Material material("clean");
    {
        const Show show(material, 1, long_curve(material.set_up));
        const auto cost = page_cost("frames", show.address(), 20);
        figures.add({"page: script and layout of a frame, p95", Goal::at_most, 4, number(cost, "p95_ms"), "ms",
                     shown(number(cost, "p50_ms"), "ms at the median"), "",
                     "a job at its own pace with the curve of 100 minutes at 80 a second open; " +
                         std::to_string(static_cast<int>(number(cost, "frames"))) + " frames, the longest " +
                         shown(number(cost, "most_ms"), "ms")});
    }
    const Show show(material, 0, "");
    const auto cost = page_cost("memory", show.address(), 60);
    const double states = number(cost, "states");
    figures.add({"page: memory's growth over a shift of 8 hours", Goal::at_most, 2,
                 number(cost, "MiB_per_state") * shift_s * states_per_s, "MiB", shown(number(cost, "MiB"), "MiB in use"), "",
                 std::to_string(static_cast<int>(states)) + " states of " + std::to_string(show.jobs()) +
                     " jobs in a minute, after garbage collection; a shift has " +
                     std::to_string(static_cast<int>(shift_s * states_per_s)) + " states"});
    constexpr double jobs_a_shift = 48;   // one every ten minutes
    figures.add({"page: the server's growth over a shift", Goal::at_most, 2, show.MiB_per_job() * jobs_a_shift, "MiB",
                 shown(resident_MiB(::getpid()), "MiB resident"), "",
                 "of the same run, this process being the server; a shift has " + std::to_string(static_cast<int>(jobs_a_shift)) +
                     " jobs"});
    figures.add({"page: elements left over", Goal::at_most, 20, number(cost, "nodes_last") - number(cost, "nodes_first"),
                 "elements", shown(number(cost, "nodes_last"), "elements"), "", "of the same run, from its middle to its end"});
}

}  // namespace halfturn::bench
