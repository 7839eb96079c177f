// halfturn calibrate series KIND: the guided series, step by step with the rig's instruments live. Each
// steady reading is written to FILE at once; `halfturn calibrate KIND FILE` then works it out.
#include <unistd.h>

#include <deque>
#include <memory>
#include <string>

#include "command/calibrate_commands.hpp"
#include "command/command.hpp"
#include "command/live_series.hpp"
#include "core/number_text.hpp"

namespace halfturn::command {
namespace {

using calibrate::SeriesRun;

constexpr double told_every_s = 10;  // why it is not steady yet

// The terminal's side: questions out, Enter and a few letters in.
class Guide {
public:
    explicit Guide(const SeriesOptions& options) : live_(series_set_up(options), options.out) {}

    void run() {
        live_.open();
        live_.on_change = [this](SeriesRun::Took took) { tell(took); };
        live_.loop().watch_input(STDIN_FILENO, [this](std::string_view bytes) { live_.guarded([&] { typed(bytes); }); });
        live_.loop().on_signal([this](int) { finish("Ended by hand."); });
        for (const auto& remark : live_.set_up().remarks) say("Note: " + remark + ".");
        say("Enter: I hold, read now. s: skip this step. q: end here. Wear eye protection, keep hands clear, "
            "never exceed the rated load.");
        ask();
        live_.run_unopened();
    }

private:
    void say(const std::string& text) { print(text + "\n"); }
    const SeriesRun& series() const { return live_.series(); }

    void ask() {
        if (series().at() == SeriesRun::At::over) return finish("All steps done.");
        say("[" + std::to_string(series().number() + 1) + "/" + std::to_string(series().plan().steps.size()) + "] " +
            series().step().say);
    }

    void finish(const std::string& why) {
        say(why + " " + std::to_string(series().kept()) + " readings are in " + live_.out() +
            "; `halfturn calibrate " + series().plan().kind + " " + live_.out() + "` works them out.");
        live_.stop();
    }

    void typed(std::string_view bytes) {
        if (bytes.empty()) return finish("The input ended.");
        input_ += bytes;
        for (std::size_t end; (end = input_.find('\n')) != std::string::npos;) {
            std::string line = input_.substr(0, end);
            input_.erase(0, end + 1);
            while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
            lines_.push_back(std::move(line));
        }
        next_lines();
    }

    // Lines typed ahead wait until the step before them is done.
    void next_lines() {
        while (!lines_.empty() && series().at() != SeriesRun::At::waiting && series().at() != SeriesRun::At::over) {
            const std::string line = lines_.front();
            lines_.pop_front();
            answer(line);
        }
    }

    void answer(const std::string& line) {
        if (line == "q") {
            lines_.clear();
            return finish("Ended by hand.");
        }
        if (series().at() == SeriesRun::At::reference) {
            const auto value = parse_number(line);
            if (!value) return say("That is no number; what does the reference read, in N?");
            return live_.reference(*value);
        }
        const std::size_t before = series().number();
        told_s_ = seconds(live_.loop().now());
        if (line == "s") live_.skip();
        else if (line.empty()) live_.hold();
        else return say("Press Enter when you hold still; s skips this step, q ends.");
        if (series().number() != before) ask();
    }

    void tell(SeriesRun::Took took) {
        if (live_.over_limit() && !was_over_)
            say("STOP: " + fixed_text(live_.force_N().value_or(0), 0) + " N is above the rig's limit of " +
                number_text(live_.set_up().set_up.force_limit_N) + " N. Back the screw off.");
        was_over_ = live_.over_limit();
        tell_now();
        switch (took) {
            case SeriesRun::Took::nothing: return tell_why_not();
            case SeriesRun::Took::refused:
                say("  Not kept, since the force is above the rig's limit.");
                ask();
                break;
            case SeriesRun::Took::read:
                tell_means();
                say("What does the reference read, in N?");
                break;
            case SeriesRun::Took::kept:
                if (!series().plan().typed_reference) tell_means();
                ask();
                break;
        }
        if (!answering_) {
            answering_ = true;
            next_lines();
            answering_ = false;
        }
    }

    void tell_means() {
        std::string shown;
        for (const double mean : series().means()) shown += (shown.empty() ? "" : ", ") + figures_text(mean, 6);
        say("  read: " + shown);
    }

    // The word for the jerk of a lag series, once each time.
    void tell_now() {
        const bool now = series().now();
        if (now && !was_now_) say("  NOW: one quick turn, and hold.");
        if (was_now_ != now) told_s_ = seconds(live_.loop().now());
        was_now_ = now;
    }

    void tell_why_not() {
        const double now_s = seconds(live_.loop().now());
        if (series().at() != SeriesRun::At::waiting || series().now() || now_s - told_s_ < told_every_s) return;
        told_s_ = now_s;
        say("Not steady yet: " + live_.why_not_steady());
    }

    LiveSeries live_;
    std::deque<std::string> lines_;
    std::string input_;
    double told_s_ = 0;
    bool was_over_ = false, answering_ = false, was_now_ = false;
};

void add_series_options(CLI::App& command, const std::string& kind) {
    auto options = std::make_shared<SeriesOptions>();
    options->kind = kind;
    command.add_option("--rig", options->rig, "rig file")->required();
    command.add_option("--out", options->out, "CSV file to make")->required();
    command.add_option("--steady", options->steady_s, "how long a reading must be steady, s (default 3)")->check(CLI::Range(0.2, 60.0));
    command.add_option("--store", options->store, "store of the certificates that the rig file names");
    const auto stray = calibrate::stray_of(kind);
    if (kind != "pitch" && kind != "travel")
        command.add_option("--capacity", options->capacity_N, "highest force of the series, N")->required();
    if (kind == "force" || kind == "stiffness" || kind == "pitch")
        command.add_option("--points", options->points, "points of a run (default 10)");
    if (kind == "force") command.add_option("--runs", options->runs, "runs up; the last one comes down too (default 3)");
    if (kind == "force" || stray)
        command.add_option("--reference-rig", options->reference_rig,
                           "rig file of the reference cell; without it, its reading is typed");
    if (stray) {
        const std::string unit(calibrate::stray_words(*stray).unit);
        options->runs = 2;
        command.add_option("--amount", options->amount, "the stray load, " + unit)->required()->check(CLI::Range(1e-6, 1e6));
        command.add_option("--half-width", options->half_width, "how well it is known: within ± this, " + unit)
            ->check(CLI::Range(0.0, 1e6));
        command.add_option("--runs", options->runs, "rounds (default 2)");
        if (calibrate::stray_words(*stray).angle) command.add_option("--angles", options->angles, "places all round (default 4)");
    }
    if (kind == "lag") command.add_option("--jerks", options->jerks, "quick steps, up and down by turns (default 6)");
    if (kind == "pitch") command.add_option("--turns", options->turns, "turns to make (default 20)");
    if (kind == "travel") command.add_option("--blocks", options->blocks_mm, "lengths of the blocks, mm; 0: jaws closed")->required();
    command.callback([options] { Guide(*options).run(); });
}

void add_kinds(CLI::App& series) {
    series.require_subcommand(1);
    const auto add = [&](const std::string& kind, const char* what) {
        add_subcommand(series, kind, what, [kind](CLI::App& command) { add_series_options(command, kind); });
    };
    add("force", "The rig's load cell against a reference");
    add("stiffness", "A blocked pull");
    add("pitch", "Counter against caliper over many turns");
    add("travel", "The caliper on gauge blocks");
    add("lag", "Quick steps that all instruments see together: how late each is");
    add("eccentric", "The load cell under a load beside its axis, against a reference");
    add("side-load", "The load cell under a push from the side, against a reference");
    add("torsion", "The load cell under the screw's torque, against a reference");
}

}  // namespace

void add_calibrate_series(CLI::App& calibrate) {
    add_subcommand(calibrate, "series",
                   "Take a guided series with the rig's instruments live.\n"
                   "It asks for each step, waits until every instrument is steady, and writes the reading to the file at once;\n"
                   "`halfturn calibrate KIND FILE`, with the same KIND, then works it out.",
                   add_kinds);
}

}  // namespace halfturn::command
