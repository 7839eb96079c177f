#include "command/page_series.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "calibrate/csv_readings.hpp"
#include "command/calibrate_commands.hpp"
#include "command/calibrate_keep.hpp"
#include "command/examples.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "files/whole_file.hpp"
#include "record/wall_clock.hpp"
#include "screen/job_form.hpp"

namespace halfturn::command {
namespace {

using calibrate::SeriesRun;
using Took = SeriesRun::Took;

constexpr Instant publish_every = 100'000'000;
constexpr Instant reacts_after = 500'000'000;  // the practice hand, to a word

// The cell that the practice rig's own is compared with.
constexpr std::string_view practice_reference = R"toml(name = "reference"
[screw]
thread = "M8"
[[port]]
name = "reference"
device = "played"
format = "hdr-comma"
[[channel]]
port = "reference"
measures = "force"
unit = "N"
readings_per_s = 10
)toml";

// What the practice rig's certificate would say.
constexpr std::string_view practice_log = "# zero = 0\n# zero_limit = 20\n# stiffness = 20000\n# stiffness_limit = 5000\nzero,stiffness\n";
constexpr std::size_t most_log_bytes = std::size_t{4} << 20;

std::string text_of(const JsonValue& form, std::string_view key) {
    const JsonValue* value = form.find(key);
    return value ? screen::trimmed(value->text()) : std::string();
}

double number_or(const JsonValue& form, std::string_view key, std::string_view label, double usual) {
    const std::string text = text_of(form, key);
    return text.empty() ? usual : screen::typed_number(text, label);
}

int count_or(const JsonValue& form, std::string_view key, std::string_view label, int usual) {
    const double number = number_or(form, key, label, usual);
    if (number != std::floor(number) || std::fabs(number) > 1000)
        throw BadInput(std::string(label) + " must be a whole number, such as " + std::to_string(usual));
    return static_cast<int>(number);
}

std::string_view at_name(SeriesRun::At at) {
    switch (at) {
        case SeriesRun::At::step: return "step";
        case SeriesRun::At::waiting: return "waiting";
        case SeriesRun::At::reference: return "reference";
        case SeriesRun::At::over: return "over";
    }
    return "over";
}

std::string_view unit_of(Measure measure) { return measure == Measure::force ? "N" : measure == Measure::turns ? "turn" : "mm"; }

// The target's unit goes with the kind.
std::string_view target_unit(const std::string& kind) { return kind == "pitch" ? "turn" : kind == "travel" ? "mm" : "N"; }

}  // namespace

bool PageSeries::act(const screen::PageAct& act) {
    const std::lock_guard lock(mutex_);
    if (!live_) return false;
    live_->loop().post([this, live = live_, act] { live->guarded([&] { perform(*live, act); }); });
    return true;
}

PageSeries::Asked PageSeries::asked(const JsonValue& form) const {
    Asked asked;
    SeriesOptions& o = asked.options;
    o.kind = text_of(form, "kind");
    const auto is = [&](std::initializer_list<std::string_view> kinds) {
        return std::find(kinds.begin(), kinds.end(), o.kind) != kinds.end();
    };
    const auto stray = calibrate::stray_of(o.kind);
    if (!stray && !is({"daily", "force", "stiffness", "pitch", "travel", "lag"}))
        throw BadInput("which series? daily, force, stiffness, pitch, travel, lag, eccentric, side-load or torsion");
    asked.practice = text_of(form, "practice") == "yes";
    if (asked.practice && is({"pitch", "travel"}))
        throw BadInput("the practice rig has no gauge blocks and needs no pitch: practise one of the other series");
    if (!asked.practice && o.kind == "daily" && options_.daily_log.empty())
        throw BadInput(
            "the daily check needs the log it adds to; start the bench with --daily-log FILE (`halfturn calibrate daily --help` "
            "says what is in it)");
    if (!asked.practice && options_.rig.empty())
        throw BadInput("this bench was started without --rig, so only the practice rig can be calibrated");
    o.rig = options_.rig;
    o.reference_rig = options_.reference_rig;
    o.store = options_.store_path;
    o.capacity_N = number_or(form, "capacity_N", "the highest force", 0);
    if (!is({"pitch", "travel"}) && !(o.capacity_N > 0)) throw BadInput("up to which force? Give the highest of the series, in N");
    o.points = count_or(form, "points", "the number of points", o.points);
    o.runs = count_or(form, "runs", "the number of runs", stray ? 2 : o.runs);
    o.steady_s = number_or(form, "steady_s", "how long a reading must be steady", o.steady_s);
    if (!(o.steady_s >= 0.5 && o.steady_s <= 60)) throw BadInput("a reading must be steady for 0.5 to 60 s; 3 s is usual");
    o.angles = count_or(form, "angles", "the number of places all round", o.angles);
    o.jerks = count_or(form, "jerks", "the number of quick steps", o.jerks);
    if (stray) {
        o.amount = number_or(form, std::string(calibrate::stray_words(*stray).amount), "the stray load", 0);
        if (!(o.amount > 0)) throw BadInput("how large is the stray load? Give it in " + std::string(calibrate::stray_words(*stray).unit));
    }
    o.turns = number_or(form, "turns", "the number of turns", o.turns);
    const std::string blocks = text_of(form, "blocks_mm");
    for (std::string_view rest = blocks; !rest.empty();) {
        const auto gap = rest.find_first_of(" ;");
        if (gap != 0) o.blocks_mm.push_back(screen::typed_number(std::string(rest.substr(0, gap)), "a block's length"));
        rest.remove_prefix(gap == std::string_view::npos ? rest.size() : gap + 1);
    }
    const auto folder = std::filesystem::path(options_.store_path).parent_path();
    o.out = (folder / ("series-" + o.kind + "-" + record::utc_compact(record::now_utc_ms()) + ".csv")).string();
    return asked;
}

SeriesSetUp PageSeries::prepare(const Asked& asked) const {
    if (!asked.practice) return series_set_up(asked.options);
    const RigFile rig = read_rig_text(std::string(find_example("rig")->text), "the example rig");
    const RigFile reference = read_rig_text(std::string(practice_reference), "the practice reference");
    return series_set_up(asked.options, rig, &reference);
}

void PageSeries::run(const JsonValue& form) {
    const Asked wanted = asked(form);
    LiveSeries live(prepare(wanted), wanted.options.out);
    std::unique_ptr<live::PracticeChild> child;
    if (wanted.practice) child = std::make_unique<live::PracticeChild>(live.set_up().set_up, "block", options_.seed, 1.0, "reference");
    practice_ = wanted.practice;
    worked_out_ = false;
    result_.clear();
    remark_.clear();
    for (const auto& remark : live.set_up().remarks) remark_ += remark + ". ";
    published_at_ = -1;
    told_step_ = live.series().plan().steps.size();
    live.on_change = [&](Took took) { changed(live, took); };
    if (child) start_practice(live, *child);
    else live.open();
    {
        const std::lock_guard lock(mutex_);
        live_ = &live;
    }
    struct Away {
        PageSeries& series;
        ~Away() {
            const std::lock_guard lock(series.mutex_);
            series.live_ = nullptr;
            series.child_ = nullptr;
        }
    } away{*this};
    child_ = child.get();  // not before there is somebody to take it back
    live.loop().on_signal([&live](int) { live.stop(); });
    live.run_unopened();
}

void PageSeries::start_practice(LiveSeries& live, live::PracticeChild& child) {
    live.loop().watch_input(child.output(), [&live, &child](std::string_view bytes) {
        live.guarded([&] {
            if (bytes.empty()) throw Failure("the practice rig has gone");
            for (const auto& news : child.take(bytes)) {
                if (news.what == live::PracticeChild::News::What::ready) live.open();
                const auto& ports = live.set_up().set_up.ports;
                for (std::size_t i = 0; i < ports.size(); ++i)
                    if (news.what == live::PracticeChild::News::What::device && ports[i].name == news.port)
                        live.loop().rename_port(static_cast<std::uint16_t>(i), news.device);
            }
        });
    });
}

void PageSeries::perform(LiveSeries& live, const screen::PageAct& act) {
    remark_.clear();
    const bool over = live.series().at() == SeriesRun::At::over;
    published_at_ = -1;
    if (act.act == "hold") live.hold();
    else if (act.act == "skip") live.skip();
    else if (act.act == "end" && !over) live.end();
    else if (act.act == "next" || act.act == "end") live.stop();
    else if (act.act == "reference") type_reference(live, act.text);
}

void PageSeries::type_reference(LiveSeries& live, const std::string& text) {
    try {
        live.reference(screen::typed_number(text, "the reference's reading"));
    } catch (const BadInput& problem) {
        remark_ = problem.what();
    }
}

void PageSeries::changed(LiveSeries& live, Took took) {
    const SeriesRun& run = live.series();
    const bool over = run.at() == SeriesRun::At::over;
    if (took == Took::refused) remark_ = "Not kept, since the force was above the rig's limit.";
    else if (took != Took::nothing) remark_.clear();
    if (over && !worked_out_) work_out(live);
    const Instant now = live.loop().now();
    if (child_ && !over) lead_hand(run, now);
    if (took == Took::nothing && published_at_ >= 0 && now - published_at_ < publish_every) return;
    published_at_ = now;
    publish(live);
}

// The practice hand does what the step asks for; a jerk when it has heard the word, as long after it as a hand takes.
void PageSeries::lead_hand(const SeriesRun& run, Instant now) {
    const calibrate::GuidedStep& step = run.step();
    const bool jerks = run.plan().kind == "lag" && step.keep;
    if (!jerks || !run.now()) {
        word_at_ = -1;
        jerked_ = false;
    } else if (word_at_ < 0) {
        word_at_ = now;
    } else if (!jerked_ && now - word_at_ >= reacts_after) {
        jerked_ = true;
        child_->say("jerk " + number_text(step.target));
    }
    if (run.number() == told_step_) return;
    told_step_ = run.number();
    if (jerks) return;
    if (calibrate::stray_of(run.plan().kind)) {
        std::string cells = step.keep ? step.direction : "0,0";
        std::replace(cells.begin(), cells.end(), ',', ' ');
        child_->say("stray " + run.plan().kind + " " + cells);
    }
    child_->say("to " + number_text(step.target));
}

// What `halfturn calibrate KIND FILE` says about the readings, or why it can't.
void PageSeries::work_out(LiveSeries& live) {
    worked_out_ = true;
    if (live.series().kept() == 0) return;
    result_ = "The readings are being worked out.";
    publish(live);   // the uncertainty takes a second or two, in which no state comes
    result_.clear();
    try {
        const std::string& kind = live.series().plan().kind;
        result_ = kind == "daily" ? check_today(live.out()) : report_series(kind, calibrate::CsvReadings::from_file(live.out())).text;
    } catch (const BadInput& problem) {
        remark_ = problem.what();
    }
}

// Adds today's line to the log, judges it with the days before, and says so.
std::string PageSeries::check_today(const std::string& readings_file) const {
    using namespace calibrate;
    const std::string log = practice_ ? std::string(practice_log) : whole_file(options_.daily_log, most_log_bytes);
    std::string line = daily_line(log, read_daily_series(CsvReadings::from_file(readings_file))) + "\n";
    if (!log.empty() && log.back() != '\n') line.insert(0, "\n");
    const DailyLog with_today = read_daily_log(CsvReadings::from_text(log + line, practice_ ? "the practice log" : options_.daily_log));
    if (!practice_ && !(std::ofstream(options_.daily_log, std::ios::app) << line << std::flush))
        throw Failure(options_.daily_log + ": today's line can't be written; check the disk and the file's rights");
    return daily_text(check_day(with_today.items, with_today.serial_matches));
}

void PageSeries::publish(LiveSeries& live) {
    const SeriesRun& run = live.series();
    const auto& s = live.set_up();
    JsonWriter json;
    json.object()
        .put("t", "state")
        .put("stage", "calibrating")
        .put("kind", run.plan().kind)
        .put("practice", practice_)
        .put("at", at_name(run.at()));
    json.put("number", static_cast<std::int64_t>(run.number() + 1))
        .put("of", static_cast<std::int64_t>(run.plan().steps.size()))
        .put("kept", static_cast<std::int64_t>(run.kept()));
    if (run.at() != SeriesRun::At::over)
        json.put("say", run.step().say)
            .put("target", run.step().target)
            .put("unit", run.step().direction == "block" ? "mm" : target_unit(run.plan().kind))
            .put("keep", run.step().keep)
            .put("now", run.now());
    json.put("over_limit", live.over_limit())
        .put("limit_N", s.set_up.force_limit_N)
        .put("remark", remark_)
        .put("file", live.out())
        .put("result", result_);
    json.key("instruments").array();
    for (std::size_t i = 0; i < s.channels.size(); ++i) {
        const auto& now = live.value(i);
        const ChannelSetUp& channel = s.set_up.channels[s.channels[i]];
        json.object()
            .put("name", s.set_up.ports[channel.port].name)
            .put("measures", measure_name(channel.measures))
            .put("unit", unit_of(channel.measures))
            .key("value");
        if (now.known) json.number(now.value);
        else json.null();
        const bool watched = i < run.settling().size() && run.at() == SeriesRun::At::waiting;
        json.put("steady", run.now() || (watched && run.settling()[i].state().steady)).put("trouble", now.trouble).end();
    }
    json.end().key("means").array();
    for (const double mean : run.means()) json.number(mean);
    server_->publish(json.end().end().take());
}

}  // namespace halfturn::command
