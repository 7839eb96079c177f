// Between the page and the job that runs: the job's changes become newest states, the page's acts are carried out on the
// job's own loop. One job at a time; without one, acts are refused here and belong to the caller.
//   Desk desk(server);
//   { const auto shown = desk.show(job);  job.on_change = [&] { desk.changed(); };  job.run();  desk.changed(); }
#pragma once

#include <memory>
#include <mutex>
#include <string>

#include "live/live_job.hpp"
#include "screen/curve_points.hpp"
#include "screen/page_act.hpp"
#include "screen/server.hpp"

namespace halfturn::screen {

class Desk {
public:
    // No server yet: it is made with act() as its callback, then given by publish_to().
    Desk() = default;
    void publish_to(Server& server) { server_ = &server; }

    // From the server's thread. False when no job runs.
    bool act(const PageAct& act);

    // From here on the job is the one shown; until what is returned goes away.
    class Shown {
    public:
        explicit Shown(Desk& desk) : desk_(&desk) {}
        ~Shown() { desk_->take_away(); }
        Shown(const Shown&) = delete;
        Shown& operator=(const Shown&) = delete;
    private:
        Desk* desk_;
    };
    [[nodiscard]] std::unique_ptr<Shown> show(live::LiveJob& job);

    // On the job's thread, after each of its events, and once more when it has ended.
    void changed();

private:
    void take_away();
    void perform(const PageAct& act);
    void publish();

    Server* server_ = nullptr;
    std::mutex mutex_;               // guards job_, for the server's thread
    live::LiveJob* job_ = nullptr;
    // Only the job's thread from here on.
    std::string job_part_, message_;
    CurvePoints curve_;
    Instant published_at_ = -1, curve_at_ = -1;
    HandWord word_ = HandWord::wait;
    live::Stage stage_ = live::Stage::opening;
    std::size_t warnings_ = 0;
};

}  // namespace halfturn::screen
