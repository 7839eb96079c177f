// A guided series with a rig's instruments live: events of the sequencer in, steady readings kept in a file that only grows.
// The terminal's `calibrate series` and the page drive it alike.
//   LiveSeries series({.kind = "stiffness", .rig = "rig.toml", .out = "pull.csv", .capacity_N = 4000});
//   series.on_change = [&](SeriesRun::Took took) { show(series); };   series.run();
#pragma once

#include <exception>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "calibrate/series_run.hpp"
#include "command/growing_file.hpp"
#include "command/live_channels.hpp"
#include "core/set_up.hpp"
#include "files/rig_file.hpp"
#include "ports/sequencer.hpp"

namespace halfturn::command {

struct SeriesOptions {
    std::string kind;                        // "force", "stiffness", "pitch", "travel", "daily", "lag", a stray load's
    std::string rig, reference_rig, out, store;
    double capacity_N = 0, turns = 20, steady_s = 3;
    int points = 10, runs = 3;
    std::vector<double> blocks_mm;
    double amount = 0, half_width = 0;       // of a stray load, in mm, N or Nm
    int angles = 4, jerks = 6;               // places all round; quick steps of a lag series
};

// What a series needs of its rigs: the instruments as one set-up, and which of them stand in which column.
struct SeriesSetUp {
    calibrate::SeriesPlan plan;
    SetUp set_up;
    std::vector<std::size_t> channels;       // that must be steady, in the order of their columns
    std::vector<std::size_t> as_printed;     // kept without calibration
    std::vector<std::string> remarks;        // on certificates, said first
    std::optional<std::size_t> force;        // watched against the limit
};

// The rig files of the options, with the certificates they name. Throws BadInput for what the series can't be taken with.
SeriesSetUp series_set_up(const SeriesOptions& options);
// The same of rigs that are read already; `reference` may be missing.
SeriesSetUp series_set_up(const SeriesOptions& options, const RigFile& rig, const RigFile* reference);

class LiveSeries {
public:
    LiveSeries(SeriesSetUp set_up, std::string out);

    // After each event and act, on the loop's thread. An exception ends run(), which throws it again.
    std::function<void(calibrate::SeriesRun::Took)> on_change;

    // Opens the ports and makes the file, in this order, so that a failed start leaves nothing behind; until stop().
    // Throws Failure for a port, BadInput or Failure for the file.
    void run();
    // The same for ports whose devices are only known later: rename them on the loop, then call open().
    void run_unopened();
    void open();
    void stop() { sequencer_.stop(); }

    // What the person does, on the loop's thread.
    void hold();
    void skip();
    void reference(double value_N);
    void end();
    // Runs `what` so that its exception ends run().
    void guarded(const std::function<void()>& what);

    const calibrate::SeriesRun& series() const { return run_; }
    const SeriesSetUp& set_up() const { return set_up_; }
    const std::string& out() const { return out_; }
    const LiveChannels::Value& value(std::size_t instrument) const { return live_.value(set_up_.channels[instrument]); }
    bool over_limit() const { return over_limit_; }
    std::optional<double> force_N() const;   // watched against the limit; nothing when there is none to watch
    std::string why_not_steady() const;      // each instrument that is not
    Sequencer& loop() { return sequencer_; }

private:
    void on(const Event& event);
    void changed(calibrate::SeriesRun::Took took);

    SeriesSetUp set_up_;
    std::string out_;
    calibrate::SeriesRun run_;
    LiveChannels live_;
    std::optional<GrowingFile> file_;
    bool over_limit_ = false;
    std::exception_ptr trouble_;
    Sequencer sequencer_;
};

}  // namespace halfturn::command
