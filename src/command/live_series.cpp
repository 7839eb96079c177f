#include "command/live_series.hpp"

#include <algorithm>
#include <cmath>

#include "command/certificates.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "record/store.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;
using Took = SeriesRun::Took;

constexpr double silent_s = 0.3;  // a display that prints only changes is steady while it is silent

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
    if (names_certificates(rig)) {
        record::Store store = record::Store::open(
            store_path.empty() ? record::default_store_path() : store_path, record::Mode::read);
        for (auto& mark : apply_certificates(rig, store, today_utc())) remarks.push_back(std::move(mark));
    }
    return rig;
}

// The cell that the rig's own is compared with, or a person who reads it.
void add_reference(SeriesSetUp& out, const RigFile* reference) {
    if (!reference) {
        out.plan.typed_reference = true;
        // A cell that prints counts says nothing about newtons yet; the person has the reference to go by.
        if (!out.as_printed.empty()) out.force.reset();
        return;
    }
    const std::size_t from = out.set_up.channels.size();
    add_rig(out.set_up, *reference);
    out.channels.push_back(need_channel(out.set_up, Measure::force, reference->file, from));
    out.force = out.channels.back();  // the calibrated one of the two, and the one that is not disturbed
}

}  // namespace

SeriesSetUp series_set_up(const SeriesOptions& options) {
    std::vector<std::string> remarks;
    const RigFile rig = read_live_rig(options.rig, options.store, remarks);
    std::optional<RigFile> reference;
    if (!options.reference_rig.empty()) reference = read_live_rig(options.reference_rig, options.store, remarks);
    SeriesSetUp out = series_set_up(options, rig, reference ? &*reference : nullptr);
    out.remarks = std::move(remarks);
    return out;
}

SeriesSetUp series_set_up(const SeriesOptions& options, const RigFile& rig, const RigFile* reference) {
    SeriesSetUp out;
    SetUp& set_up = out.set_up;
    add_rig(set_up, rig);
    const double limit_N = set_up.force_limit_N = rig.press.force_limit_N.value_or(0);
    out.plan.kind = options.kind;
    out.plan.steady_s = options.steady_s;
    out.force = channel_of(set_up, Measure::force);
    const auto stray = stray_of(options.kind);
    if (options.kind != "pitch" && options.kind != "travel") {
        if (!(options.capacity_N > 0)) throw BadInput("--capacity is needed: the highest force of the series, in N");
        if (limit_N > 0 && options.capacity_N > limit_N)
            throw BadInput("the highest force of " + number_text(options.capacity_N) +
                           " N (--capacity) lies above the rig's force_limit_N of " + number_text(limit_N) + "; stay below it");
    }
    if (options.kind == "force") {
        out.channels = {need_channel(set_up, Measure::force, rig.file)};
        out.as_printed = out.channels;
        out.plan.steps = force_steps(options.capacity_N, options.points, options.runs, true);
        out.plan.notes = "# capacity_N = " + number_text(options.capacity_N) + "\n";
        add_reference(out, reference);
    } else if (stray) {
        out.channels = {need_channel(set_up, Measure::force, rig.file)};
        out.plan.steps = stray_steps(*stray, options.capacity_N, options.amount, options.angles, options.runs);
        if (options.half_width > 0) out.plan.notes = "# half_width = " + number_text(options.half_width) + "\n";
        add_reference(out, reference);
    } else if (options.kind == "lag") {
        for (const Measure measure : {Measure::force, Measure::screw_travel, Measure::turns})
            if (const auto found = channel_of(set_up, measure)) {
                out.channels.push_back(*found);
                out.plan.channel_names.emplace_back(measure_name(measure));
            }
        if (out.channels.size() < 2)
            throw BadInput(
                rig.file +
                ": a lag needs two instruments that see the same step: [[channel]]s for force and for screw-travel or turns");
        out.plan.steps = lag_steps(options.capacity_N, options.jerks);
    } else if (options.kind == "stiffness" || options.kind == "daily") {
        out.channels = {need_channel(set_up, Measure::screw_travel, rig.file), need_channel(set_up, Measure::force, rig.file)};
        out.plan.steps = options.kind == "daily"
                             ? daily_steps(options.blocks_mm.empty() ? 0 : options.blocks_mm.front(), options.capacity_N)
                             : stiffness_steps(options.capacity_N, options.points);
    } else if (options.kind == "pitch") {
        out.channels = {need_channel(set_up, Measure::turns, rig.file), need_channel(set_up, Measure::screw_travel, rig.file)};
        out.plan.steps = pitch_steps(options.turns, options.points);
    } else {
        out.channels = {need_channel(set_up, Measure::screw_travel, rig.file)};
        out.plan.steps = travel_steps(options.blocks_mm);
    }
    out.plan.instruments = out.channels.size();
    return out;
}

LiveSeries::LiveSeries(SeriesSetUp set_up, std::string out)
    : set_up_(std::move(set_up)), out_(std::move(out)), run_(set_up_.plan), live_(set_up_.set_up, set_up_.as_printed),
      sequencer_(set_up_.set_up, [this](const Event& event) { on(event); }) {}

void LiveSeries::run() {
    open();
    run_unopened();
}

void LiveSeries::run_unopened() {
    sequencer_.run();
    if (trouble_) std::rethrow_exception(trouble_);
}

void LiveSeries::open() {
    for (const auto& problem : sequencer_.open_ports()) throw Failure(problem);
    file_.emplace(out_);
}

void LiveSeries::guarded(const std::function<void()>& what) {
    if (trouble_) return;
    try {
        what();
    } catch (...) {
        trouble_ = std::current_exception();
        sequencer_.stop();
    }
}

void LiveSeries::on(const Event& event) {
    guarded([&] {
        live_.on(event);
        const auto force = force_N();
        over_limit_ = force && set_up_.set_up.force_limit_N > 0 && *force > set_up_.set_up.force_limit_N;
        run_.over_limit(over_limit_);
        for (std::size_t i = 0; i < set_up_.channels.size(); ++i) {
            for (const auto& fresh : live_.fresh())
                if (fresh.channel == set_up_.channels[i]) run_.reading(i, seconds(fresh.at), fresh.value);
            const auto& now = value(i);
            const bool still = std::holds_alternative<Tick>(event.what) && event.at - now.at > from_seconds(silent_s);
            if (now.known && still) run_.reading(i, seconds(event.at), now.value, false);
        }
        changed(run_.take_when_steady());
    });
}

void LiveSeries::hold() {
    std::vector<double> least_counts;
    for (const std::size_t channel : set_up_.channels) {
        // In newtons where a certificate turns counts into them; as printed where it is left out.
        const auto& c = set_up_.set_up.channels[channel].coefficients;
        const bool printed = std::find(set_up_.as_printed.begin(), set_up_.as_printed.end(), channel) != set_up_.as_printed.end();
        least_counts.push_back(live_.value(channel).least_count * (printed || c.size() < 2 ? 1 : std::fabs(c[1])));
    }
    run_.hold(seconds(sequencer_.now()), least_counts);
    changed(Took::nothing);
}

void LiveSeries::skip() {
    run_.skip();
    changed(Took::nothing);
}

void LiveSeries::reference(double value_N) {
    const std::size_t before = run_.kept();
    run_.reference(value_N);
    changed(run_.kept() > before ? Took::kept : Took::nothing);
}

void LiveSeries::end() {
    run_.end();
    changed(Took::nothing);
}

void LiveSeries::changed(Took took) {
    for (const auto& line : run_.take_lines()) file_->line(line);
    if (on_change) on_change(took);
}

std::optional<double> LiveSeries::force_N() const {
    if (!set_up_.force) return {};
    const auto& force = live_.value(*set_up_.force);
    if (!force.known) return {};
    return force.value;
}

std::string LiveSeries::why_not_steady() const {
    if (run_.plan().kind == "lag")
        return run_.missed() > 0 ? "no step that all instruments saw and that came to rest; hold still, then one quick turn"
                                 : "not all instruments rest";
    std::string out;
    for (std::size_t i = 0; i < run_.settling().size(); ++i) {
        const auto state = run_.settling()[i].state();
        if (state.steady) continue;
        out += (out.empty() ? "" : "; ");
        out += !value(i).trouble.empty() ? value(i).trouble
               : !value(i).known         ? std::string("no reading comes")
                                         : "it drifts by " + figures_text(state.drift, 2);
    }
    return out;
}

}  // namespace halfturn::command
