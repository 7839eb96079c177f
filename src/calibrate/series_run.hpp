// A guided series under way: which step, whether the readings are steady, what is kept. Pure: whoever has the instruments says
// what they read and when, and what the person did; a terminal, a screen and a test drive it alike.
//   SeriesRun run(plan);   run.hold(t_s, least_counts);   run.reading(0, t_s, 812.5);
//   if (run.take_when_steady() == SeriesRun::Took::kept) for (const auto& line : run.take_lines()) file.line(line);
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "calibrate/guided_series.hpp"
#include "calibrate/step_catch.hpp"

namespace halfturn::calibrate {

struct SeriesPlan {
    std::string kind;                 // "force", "stiffness", "pitch", "travel", "daily", "lag", a stray load's
    std::vector<GuidedStep> steps;
    std::size_t instruments = 1;      // that must be steady, in the order of their columns
    bool typed_reference = false;     // nobody reads the reference for us
    double steady_s = 3;              // how long a reading must be steady
    std::vector<std::string> channel_names;  // lag: what the file calls the instruments
    std::string notes;                // "# capacity_N = 5000\n": above the head of the file
};

class SeriesRun {
public:
    explicit SeriesRun(SeriesPlan plan) : plan_(std::move(plan)) {}

    enum class At : std::uint8_t {
        step,       // the person brings about what the step asks for
        waiting,    // holds still; the readings are watched until they are steady
        reference,  // read; the reference's own reading is still to be typed
        over,
    };
    At at() const { return at_; }
    const SeriesPlan& plan() const { return plan_; }
    std::size_t number() const { return step_; }                       // of the step, from 0
    const GuidedStep& step() const { return plan_.steps[step_]; }      // not when it is over
    std::size_t kept() const { return kept_; }

    // ---- what the person does; what does not belong here is left out ------------------------------------------------
    // Holds still, or has done a step that keeps nothing. least_counts: of each instrument's display, as printed.
    void hold(double t_s, const std::vector<double>& least_counts);
    void skip();
    void reference(double value_N);
    void end();

    // ---- what the instruments say -------------------------------------------------------------------------------------
    // While waiting. fresh: false where a silent display is taken to stand where it was.
    void reading(std::size_t instrument, double t_s, double value, bool fresh = true);
    void over_limit(bool now) { over_limit_ = now; }                   // the force is above the rig's limit

    enum class Took : std::uint8_t { nothing, kept, read, refused };   // read: the reference is missing; refused: over the limit
    Took take_when_steady();

    // A lag series: everything rests, so the jerk may come.
    bool now() const { return at_ == At::waiting && catch_ && catch_->at() == StepCatch::At::ready; }
    int missed() const { return catch_ ? catch_->missed() : 0; }       // jerks of this step that were no step for all instruments

    double waiting_since_s() const { return since_s_; }
    const std::vector<SettlingWatch>& settling() const { return settling_; }
    const std::vector<double>& means() const { return means_; }        // of the newest reading that was taken

    // Lines of the file since the last call, its head before the first.
    std::vector<std::string> take_lines();

private:
    void go_on();
    void keep();
    void keep_step();
    std::string head() const;

    SeriesPlan plan_;
    At at_ = At::step;
    std::size_t step_ = 0, kept_ = 0;
    double since_s_ = 0;
    bool over_limit_ = false;
    std::vector<SettlingWatch> settling_;
    std::optional<StepCatch> catch_;                                   // a lag series instead
    std::vector<double> least_counts_, means_;
    std::vector<std::string> lines_;
};

}  // namespace halfturn::calibrate
