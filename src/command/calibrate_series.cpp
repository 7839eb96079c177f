// halfturn calibrate series KIND: the guided series, step by step with the rig's instruments live. Each
// steady reading is written to FILE at once; `halfturn calibrate KIND FILE` then works it out.
#include <unistd.h>

#include <algorithm>
#include <deque>
#include <memory>
#include <optional>
#include <string>

#include "calibrate/guided_series.hpp"
#include "command/calibrate_commands.hpp"
#include "command/certificates.hpp"
#include "command/command.hpp"
#include "command/growing_file.hpp"
#include "command/live_channels.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "files/rig_file.hpp"
#include "ports/sequencer.hpp"
#include "record/store.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

struct SeriesOptions {
    std::string rig, reference_rig, out, store;
    double capacity_N = 0, turns = 20, steady_s = 3;
    int points = 10, runs = 3;
    std::vector<double> blocks_mm;
};

struct Series {
    std::string kind;
    std::vector<GuidedStep> steps;
    std::vector<std::size_t> channels;  // that must be steady, in the order of their columns
    std::vector<std::size_t> as_printed;
    std::string header;
    std::vector<std::string> remarks;  // on certificates, said first
    bool ask_reference = false;        // nobody reads the reference for us
    std::optional<std::size_t> force;  // watched against the limit
    double limit_N = 0;
};

std::optional<std::size_t> channel_of(const SetUp& set_up, Measure measure, std::size_t from = 0) {
    for (std::size_t i = from; i < set_up.channels.size(); ++i)
        if (set_up.channels[i].measures == measure) return i;
    return {};
}

std::size_t need_channel(const SetUp& set_up, Measure measure, const std::string& file,
                         std::size_t from = 0) {
    if (const auto found = channel_of(set_up, measure, from)) return *found;
    throw BadInput(file + ": no [[channel]] measures " + std::string(measure_name(measure)) +
                   ", which this series needs");
}

void add_rig(SetUp& set_up, const RigFile& rig) {
    const auto first_port = static_cast<std::uint16_t>(set_up.ports.size());
    for (const auto& port : rig.ports) {
        if (port.device.empty())
            throw BadInput(rig.file + ": the port \"" + port.name +
                           "\" has no device, so it can't be read live");
        set_up.ports.push_back(port);
    }
    for (auto channel : rig.channels) {
        channel.port = static_cast<std::uint16_t>(channel.port + first_port);
        set_up.channels.push_back(channel);
    }
}

// Certificates that the rig's channels name come from the store; what is not in order with them is said at
// the start.
RigFile read_live_rig(const std::string& path, const std::string& store_path,
                      std::vector<std::string>& remarks) {
    RigFile rig = read_rig_file(path);
    const auto names_one = [](const ChannelSetUp& channel) { return !channel.calibration.empty(); };
    if (std::any_of(rig.channels.begin(), rig.channels.end(), names_one)) {
        record::Store store = record::Store::open(
            store_path.empty() ? record::default_store_path() : store_path, record::Mode::read);
        for (auto& mark : apply_certificates(rig, store, today_utc())) remarks.push_back(std::move(mark));
    }
    return rig;
}

Series plan(const std::string& kind, const SeriesOptions& options, SetUp& set_up) {
    Series series;
    const RigFile rig = read_live_rig(options.rig, options.store, series.remarks);
    add_rig(set_up, rig);
    set_up.force_limit_N = rig.press.force_limit_N.value_or(0);
    series.kind = kind;
    series.limit_N = set_up.force_limit_N;
    series.force = channel_of(set_up, Measure::force);
    if (kind == "force" || kind == "stiffness") {
        if (!(options.capacity_N > 0))
            throw BadInput("--capacity is needed: the highest force of the series, in N");
        if (series.limit_N > 0 && options.capacity_N > series.limit_N)
            throw BadInput("--capacity " + number_text(options.capacity_N) +
                           " lies above the rig's force_limit_N of " + number_text(series.limit_N) +
                           "; stay below it");
    }
    if (kind == "force") {
        series.channels = {need_channel(set_up, Measure::force, options.rig)};
        series.as_printed = series.channels;
        series.steps = force_steps(options.capacity_N, options.points, options.runs, true);
        series.header = "# capacity_N = " + number_text(options.capacity_N) + "\n";
        if (options.reference_rig.empty()) {
            series.ask_reference = true;
        } else {
            const std::size_t from = set_up.channels.size();
            add_rig(set_up, read_live_rig(options.reference_rig, options.store, series.remarks));
            series.channels.push_back(need_channel(set_up, Measure::force, options.reference_rig, from));
            series.force = series.channels.back();  // the calibrated one of the two
        }
        // A cell that prints counts says nothing about newtons yet; the person has the reference to go by.
        if (series.ask_reference) series.force.reset();
    } else if (kind == "stiffness") {
        series.channels = {need_channel(set_up, Measure::screw_travel, options.rig), *series.force};
        series.steps = stiffness_steps(options.capacity_N, options.points);
    } else if (kind == "pitch") {
        series.channels = {need_channel(set_up, Measure::turns, options.rig),
                           need_channel(set_up, Measure::screw_travel, options.rig)};
        series.steps = pitch_steps(options.turns, options.points);
    } else {
        series.channels = {need_channel(set_up, Measure::screw_travel, options.rig)};
        series.steps = travel_steps(options.blocks_mm);
    }
    return series;
}

class Guide {
public:
    Guide(Series series, const SetUp& set_up, const SeriesOptions& options)
        : series_(std::move(series)),
          options_(options),
          live_(set_up, series_.as_printed),
          seen_(set_up.channels.size(), 0),
          sequencer_(set_up, [this](const Event& event) { on(event); }) {}

    void run() {
        for (const auto& problem : sequencer_.open_ports()) throw Failure(problem);
        file_.emplace(options_.out);
        sequencer_.watch_input(STDIN_FILENO, [this](std::string_view bytes) { typed(bytes); });
        sequencer_.on_signal([this](int) { finish("Ended by hand."); });
        for (const auto& remark : series_.remarks) say("Note: " + remark + ".");
        say("Enter: I hold, read now. s: skip this step. q: end here. Wear eye protection, keep hands clear, "
            "never exceed the rated load.");
        ask();
        sequencer_.run();
        if (trouble_) std::rethrow_exception(trouble_);
    }

private:
    void say(const std::string& text) { print(text + "\n"); }

    void ask() {
        waiting_ = false;
        if (at_ == series_.steps.size()) return finish("All steps done.");
        say("[" + std::to_string(at_ + 1) + "/" + std::to_string(series_.steps.size()) + "] " +
            series_.steps[at_].say);
    }

    void finish(const std::string& why) {
        say(why + " " + std::to_string(rows_) + " readings are in " + options_.out +
            "; `halfturn calibrate " + series_.kind + " " + options_.out + "` works them out.");
        sequencer_.stop();
    }

    // Nothing may leave the loop by exception but through here.
    template <class What>
    void guarded(What what) {
        try {
            what();
        } catch (...) {
            trouble_ = std::current_exception();
            sequencer_.stop();
        }
    }

    void typed(std::string_view bytes) {
        guarded([&] {
            if (bytes.empty()) return finish("The input ended.");
            input_ += bytes;
            for (std::size_t end; (end = input_.find('\n')) != std::string::npos;) {
                std::string line = input_.substr(0, end);
                input_.erase(0, end + 1);
                while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
                lines_.push_back(std::move(line));
            }
            next_lines();
        });
    }

    // Lines typed ahead wait until the step before them is done.
    void next_lines() {
        while (!lines_.empty() && !waiting_ && at_ < series_.steps.size()) {
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
        if (asked_reference_) {
            const auto value = parse_number(line);
            if (!value) return say("That is no number; what does the reference read, in N?");
            asked_reference_ = false;
            means_.push_back(*value);
            return keep();
        }
        const GuidedStep& step = series_.steps[at_];
        if (line == "s" || (line.empty() && !step.keep)) {
            ++at_;
            return ask();
        }
        if (!line.empty()) return say("Press Enter when you hold still; s skips this step, q ends.");
        waiting_ = true;
        told_ = sequencer_.now();
        settling_.clear();
        for (const std::size_t channel : series_.channels) {
            settling_.emplace_back(options_.steady_s, live_.value(channel).least_count);
            seen_[channel] = live_.value(channel).count;
        }
    }

    void on(const Event& event) {
        guarded([&] {
            live_.on(event);
            watch_limit();
            if (!waiting_) return;
            for (std::size_t i = 0; i < series_.channels.size(); ++i) {
                const auto& value = live_.value(series_.channels[i]);
                if (value.known && value.count != seen_[series_.channels[i]])
                    settling_[i].add(seconds(event.at), value.value);
                // A display that prints only changes is steady while it is silent.
                else if (value.known && std::holds_alternative<Tick>(event.what) &&
                         event.at - value.at > from_seconds(0.3))
                    settling_[i].add(seconds(event.at), value.value);
                seen_[series_.channels[i]] = value.count;
            }
            bool steady = true;
            for (const auto& settling : settling_) steady &= settling.state().steady;
            if (steady) return take();
            if (event.at - told_ > from_seconds(10)) {
                told_ = event.at;
                say("Not steady yet: " + why_not());
            }
        });
    }

    std::string why_not() const {
        std::string out;
        for (std::size_t i = 0; i < series_.channels.size(); ++i) {
            const auto& value = live_.value(series_.channels[i]);
            const auto state = settling_[i].state();
            if (state.steady) continue;
            out += (out.empty() ? "" : "; ");
            out += !value.trouble.empty() ? value.trouble
                   : !value.known         ? std::string("no reading comes")
                                          : "it drifts by " + figures_text(state.drift, 2);
        }
        return out;
    }

    void watch_limit() {
        if (!series_.force || !(series_.limit_N > 0)) return;
        const auto& force = live_.value(*series_.force);
        const bool over = force.known && force.value > series_.limit_N;
        if (over && !over_limit_)
            say("STOP: " + fixed_text(force.value, 0) + " N is above the rig's limit of " +
                number_text(series_.limit_N) + " N. Back the screw off.");
        over_limit_ = over;
    }

    void take() {
        waiting_ = false;
        if (over_limit_) {
            say("  Not kept, since the force is above the rig's limit.");
            return ask();
        }
        means_.clear();
        std::string shown;
        for (const auto& settling : settling_) {
            means_.push_back(settling.state().mean);
            shown += (shown.empty() ? "" : ", ") + figures_text(means_.back(), 6);
        }
        say("  read: " + shown);
        if (series_.ask_reference) {
            asked_reference_ = true;
            say("What does the reference read, in N?");
            return next_lines();
        }
        keep();
        next_lines();
    }

    void keep() {
        if (rows_ == 0) write_head();
        std::string row;
        if (series_.kind == "travel") row = number_text(series_.steps[at_].target) + ",";
        for (std::size_t i = 0; i < means_.size(); ++i) row += (i ? "," : "") + number_text(means_[i]);
        if (series_.kind == "force") row += "," + series_.steps[at_].direction;
        file_->line(row);
        ++rows_;
        ++at_;
        ask();
    }

    void write_head() {
        const double step = live_.value(series_.channels.front()).least_count;
        std::string head = series_.header;
        if (series_.kind == "force")
            head += "# resolution = " + number_text(step) + "\nindicated,reference_N,direction";
        else if (series_.kind == "stiffness")
            head += "travel_mm,force_N";
        else if (series_.kind == "pitch")
            head +=
                "# travel_resolution_mm = " + number_text(live_.value(series_.channels.back()).least_count) +
                "\nturns,travel_mm";
        else
            head += "# resolution_mm = " + number_text(step) + "\nblock_mm,indicated_mm";
        file_->line(head);
    }

    Series series_;
    SeriesOptions options_;
    LiveChannels live_;
    std::vector<std::uint64_t> seen_;
    std::optional<GrowingFile>
        file_;  // made when the ports are open, so that a failed start leaves nothing behind
    Sequencer sequencer_;
    std::deque<std::string> lines_;
    std::string input_;
    std::vector<Settling> settling_;
    std::vector<double> means_;
    std::exception_ptr trouble_;
    std::size_t at_ = 0, rows_ = 0;
    Instant told_ = 0;
    bool waiting_ = false, asked_reference_ = false, over_limit_ = false;
};

}  // namespace

void add_calibrate_series(CLI::App& calibrate) {
    auto* series =
        calibrate.add_subcommand("series",
                                 "Take a guided series with the rig's instruments live.\n"
                                 "It asks for each step, waits until every instrument is steady, and writes "
                                 "the reading to the file at once;\n"
                                 "`halfturn calibrate force|stiffness|pitch|travel FILE` then works it out.");
    series->require_subcommand(1);
    const auto add = [&](const char* kind, const char* what) {
        auto options = std::make_shared<SeriesOptions>();
        auto* command = series->add_subcommand(kind, what);
        command->add_option("--rig", options->rig, "rig file")->required();
        command->add_option("--out", options->out, "CSV file to make")->required();
        command->add_option("--steady", options->steady_s, "how long a reading must be steady, s (default 3)")
            ->check(CLI::Range(0.2, 60.0));
        command->add_option("--store", options->store, "store of the certificates that the rig file names");
        const std::string name = kind;
        if (name == "force" || name == "stiffness")
            command->add_option("--capacity", options->capacity_N, "highest force of the series, N")
                ->required();
        if (name != "travel")
            command->add_option("--points", options->points, "points of a run (default 10)");
        if (name == "force") {
            command->add_option("--runs", options->runs, "runs up; the last one comes down too (default 3)");
            command->add_option("--reference-rig", options->reference_rig,
                                "rig file of the reference cell; without it, its reading is typed");
        }
        if (name == "pitch") command->add_option("--turns", options->turns, "turns to make (default 20)");
        if (name == "travel")
            command->add_option("--blocks", options->blocks_mm, "lengths of the blocks, mm; 0: jaws closed")
                ->required();
        command->callback([options, name] {
            SetUp set_up;
            Series planned = plan(name, *options, set_up);
            Guide(std::move(planned), set_up, *options).run();
        });
    };
    add("force", "The rig's load cell against a reference");
    add("stiffness", "A blocked pull");
    add("pitch", "Counter against caliper over many turns");
    add("travel", "The caliper on gauge blocks");
}

}  // namespace halfturn::command
