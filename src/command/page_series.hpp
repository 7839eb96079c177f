// A guided calibration series on the page: what `halfturn calibrate series` does in the terminal, with large numbers and
// buttons. One at a time, in place of a job.
//   PageSeries series(server, options);   series.run(form);   // until it is over; acts come in by series.act()
#pragma once

#include <cstdint>
#include <memory>
#include <mutex>
#include <string>

#include "command/live_series.hpp"
#include "live/practice_child.hpp"
#include "screen/page_act.hpp"
#include "screen/server.hpp"

namespace halfturn::command {

struct PageSeriesOptions {
    std::string rig, reference_rig;  // files; without the second a force series asks for what the reference reads
    std::string daily_log;           // CSV of the daily checks, to which today's line is added
    std::string store_path;          // the readings' file is made beside it
    std::uint64_t seed = 1;
};

class PageSeries {
public:
    explicit PageSeries(PageSeriesOptions options) : options_(std::move(options)) {}
    void publish_to(screen::Server& server) { server_ = &server; }

    // From the server's thread. False when no series is under way.
    bool act(const screen::PageAct& act);

    // `form`: texts kind (a series' or "daily"), practice ("yes"), capacity_N, points, runs, turns, steady_s, blocks_mm, jerks, angles,
    // offset_mm, side_N, torque_Nm. Returns when the person has left the series' last screen. Throws BadInput and Failure, for the
    // page to show.
    void run(const JsonValue& form);

private:
    struct Asked {
        SeriesOptions options;
        bool practice = false;
    };
    Asked asked(const JsonValue& form) const;
    SeriesSetUp prepare(const Asked& asked) const;
    void start_practice(LiveSeries& live, live::PracticeChild& child);
    void perform(LiveSeries& live, const screen::PageAct& act);
    void lead_hand(const calibrate::SeriesRun& run, Instant now);
    void type_reference(LiveSeries& live, const std::string& text);
    void changed(LiveSeries& live, calibrate::SeriesRun::Took took);
    void publish(LiveSeries& live);
    void work_out(LiveSeries& live);
    std::string check_today(const std::string& readings_file) const;

    PageSeriesOptions options_;
    screen::Server* server_ = nullptr;
    std::mutex mutex_;                       // guards live_, for the server's thread
    LiveSeries* live_ = nullptr;
    // Only the series' thread from here on.
    std::string remark_, result_;
    live::PracticeChild* child_ = nullptr;   // its hand is told where to bring the force
    std::size_t told_step_ = 0;
    Instant published_at_ = -1, word_at_ = -1;
    bool practice_ = false, worked_out_ = false, jerked_ = false;
};

}  // namespace halfturn::command
