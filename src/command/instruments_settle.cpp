// halfturn instruments settle: how fast, how noisy, how fine and how late instruments really are, from some seconds of them.
#include <algorithm>
#include <map>
#include <memory>
#include <optional>

#include "calibrate/probability.hpp"
#include "calibrate/settling.hpp"
#include "command/command.hpp"
#include "command/instruments.hpp"
#include "core/failure.hpp"
#include "core/framer.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "files/rig_file.hpp"
#include "ports/sequencer.hpp"

namespace halfturn::command {
namespace {

struct SettleOptions {
    PortChoice port;
    std::string rig;
    double seconds = 10;
    bool json = false;
};

struct Channel {
    std::string name;               // "force", "caliper X"
    const PortSetUp* port = nullptr;
    Unit unit = Unit::none;
    std::vector<calibrate::TimedValue> readings;
    std::vector<double> answers_s;  // request to reading, where it is asked
    int faults = 0, rejects = 0;
};

class Settler {
public:
    explicit Settler(const SettleOptions& options) : options_(options) {
        if (options.rig.empty() == options.port.device.empty())
            throw BadInput("give a device with its --format, or --rig FILE for all instruments of a rig together");
        if (options.rig.empty()) {
            if (options.port.format.empty())
                throw BadInput("--format is needed; `halfturn instruments listen " + options.port.device +
                               "` finds the one that fits");
            set_up_.ports.push_back(port_from(options.port));
        } else {
            set_up_.ports = read_rig_file(options.rig).ports;
            if (set_up_.ports.empty()) throw BadInput(options.rig + ": has no [[port]]");
            for (const auto& port : set_up_.ports)
                if (port.device.empty())
                    throw BadInput(options.rig + ": the port \"" + port.name + "\" has no device, so it can't be read live");
        }
        asked_at_.resize(set_up_.ports.size(), -1);
        for (const auto& port : set_up_.ports) framers_.emplace_back(*find_format(port.format), port.settings, Start::mid_line, true);
    }

    void run() {
        Sequencer sequencer(set_up_, [this](const Event& event) { on(event); });
        for (const auto& problem : sequencer.open_ports()) throw BadInput(problem);
        if (!options_.json)
            print("Reading for " + number_text(options_.seconds) +
                  " s. Leave it at rest; for the lag, load or move it once, quickly, in the middle.\n"
                  "Never beyond its rated load; hands clear of the stack.\n");
        sequencer.on_signal([&](int) { sequencer.stop(); });
        sequencer.after(options_.seconds, [&] { sequencer.stop(); });
        sequencer.run();
        report();
    }

private:
    void on(const Event& event) {
        if (const auto* sent = std::get_if<BytesSent>(&event.what)) {
            framers_[sent->port].sent(sent->bytes);
            asked_at_[sent->port] = event.at;
        }
        const auto* arrived = std::get_if<BytesArrived>(&event.what);
        if (!arrived) return;
        const double character_s = set_up_.ports[arrived->port].line.seconds_per_character();
        framers_[arrived->port].feed(arrived->bytes, [&](const Item& item, std::size_t after) {
            take(arrived->port, item, seconds(event.at) - static_cast<double>(after) * character_s);
        });
    }

    void take(std::uint16_t port, const Item& item, double t_s) {
        const auto* reading = std::get_if<Reading>(&item);
        const auto* fault = std::get_if<Fault>(&item);
        const std::string index(reading ? reading->channel.view() : fault ? fault->channel.view() : std::string_view());
        Channel& channel = channels_[{port, index}];
        channel.port = &set_up_.ports[port];
        channel.name = (options_.rig.empty() ? std::string(channel.port->format) : channel.port->name) + (index.empty() ? "" : " " + index);
        if (reading && is_live(reading->kind)) {
            channel.unit = reading->unit;
            if (!channel.readings.empty()) t_s = std::max(t_s, channel.readings.back().t_s);
            if (asked_at_[port] >= 0) channel.answers_s.push_back(t_s - seconds(asked_at_[port]));
            channel.readings.push_back({t_s, reading->value});
        } else if (fault && !is_advisory(fault->code)) {
            ++channel.faults;
        } else if (std::holds_alternative<Reject>(item)) {
            ++channel.rejects;
        }
    }

    void report() {
        JsonWriter json(2);
        json.object().key("channels").array();
        std::string text;
        std::optional<std::pair<std::string, calibrate::StepResult>> first_step;
        bool any = false;
        for (const auto& [key, channel] : channels_) {
            if (channel.readings.size() < 3) continue;
            any = true;
            const auto s = calibrate::settle(channel.readings);
            describe(channel, s, first_step, json, text);
            if (s.step && !first_step) first_step.emplace(channel.name, *s.step);
        }
        if (!any) throw BadInput("fewer than three readings came; `halfturn instruments listen` shows what is heard");
        print(options_.json ? json.end().end().take() + "\n" : text);
    }

    void describe(const Channel& c, const calibrate::Settling& s, const std::optional<std::pair<std::string, calibrate::StepResult>>& first,
                  JsonWriter& json, std::string& text) const {
        const std::string unit = c.unit == Unit::none ? "" : " " + std::string(unit_name(c.unit));
        json.object().put("channel", c.name).put("unit", unit_name(c.unit)).put("readings", static_cast<std::int64_t>(s.readings));
        json.put("readings_per_s", s.readings_per_s).put("median_gap_s", s.median_gap_s).put("longest_gap_s", s.longest_gap_s);
        json.put("noise_sd", s.noise_sd).put("peak_to_peak", s.peak_to_peak).put("drift_per_s", s.drift_per_s);
        json.key("least_count");
        if (s.least_count) json.text(to_text(*s.least_count));
        else json.null();
        json.put("faults", c.faults).put("rejects", c.rejects).put("usual_lag_s", c.port->lag_s);

        text += "\n" + c.name + ": " + std::to_string(s.readings) + " readings, " + fixed_text(s.readings_per_s, 1) +
                " a second; longest gap " + fixed_text(s.longest_gap_s * 1000, 0) + " ms" +
                (c.faults + c.rejects > 0 ? "; " + std::to_string(c.faults) + " faults, " + std::to_string(c.rejects) + " refused"
                                          : "") +
                "\n";
        text += "  noise " + figures_text(s.noise_sd, 2) + unit + " (standard deviation), " + figures_text(s.peak_to_peak, 3) +
                unit + " from least to greatest\n";
        text += s.least_count ? "  least count " + to_text(*s.least_count) + unit + " (its readings are whole multiples apart)\n"
                              : "  no reading differed from another: a steady display, or a wire that is loose. Touch it and "
                                "look whether it moves.\n";
        if (!c.answers_s.empty()) {
            const double answer_s = calibrate::median(c.answers_s);
            json.put("answer_s", answer_s);
            text += "  answers " + fixed_text(answer_s * 1000, 0) + " ms after it is asked\n";
        }
        describe_step(s, first, json, text, c.port->lag_s);
        if (c.port->format == "counts-csv" && calibrate::is_slow_bridge_rate(s.readings_per_s)) {
            const std::string advice =
                "ten readings a second is the converter's slow rate. Its RATE pin picks 10 (low) or 80 a second (high): on "
                "many boards a bridge of solder or a jumper beside the chip (converter data sheet, p.4). Restart the board after";
            json.put("advice", advice);
            text += "  " + advice + ".\n";
        }
        text += "  for the rig file: --readings-per-s " + figures_text(s.readings_per_s, 3);
        if (const auto factor = factor_to_base(c.unit); factor && s.least_count)
            text += " --least-count " + figures_text(to_double(*s.least_count) * *factor, 3);
        text += "\n";
        json.end();
    }

    static void describe_step(const calibrate::Settling& s, const std::optional<std::pair<std::string, calibrate::StepResult>>& first,
                              JsonWriter& json, std::string& text, double usual_lag_s) {
        if (!s.step) {
            json.key("step").null();
            text += "  no quick step was seen, so the lag is not known; the format's usual one is " + number_text(usual_lag_s) + " s\n";
            return;
        }
        const double rise_s = s.step->t90_s - s.step->t10_s;
        json.key("step").object().put("rise_s", rise_s).put("updates_per_s", s.step->updates_per_s);
        text += "  rises from a tenth to nine tenths of a step in " + fixed_text(rise_s * 1000, 0) + " ms; " +
                fixed_text(s.step->updates_per_s, 1) + " new values a second while it moves\n";
        if (first) {
            const auto lag = calibrate::lag_between(first->second, *s.step);
            json.put("later_than", first->first).put("lag_s", lag.s).put("lag_u_s", lag.u_s);
            text += "  " + fixed_text(lag.s * 1000, 0) + " ms later than " + first->first + " (standard uncertainty " +
                    fixed_text(lag.u_s * 1000, 0) + " ms)\n";
        } else {
            text += "  what it is late by as a whole shows only beside another instrument: --rig FILE reads all of a rig together\n";
        }
        json.end();
    }

    SettleOptions options_;
    SetUp set_up_;
    std::vector<Framer> framers_;
    std::vector<Instant> asked_at_;
    std::map<std::pair<std::uint16_t, std::string>, Channel> channels_;
};

}  // namespace

void add_settle(CLI::App& instruments) {
    add_subcommand(instruments, "settle",
        "Measure an instrument: true rate, noise, least count, and its lag from one quick step.\n"
        "Leave it at rest and, once in the middle, load or move it quickly. With --rig all instruments of a rig are read\n"
        "together, and the lags between them are measured. Never exceed a rated load; keep hands clear.",
        [](CLI::App& command) {
            auto options = std::make_shared<SettleOptions>();
            command.add_option("device", options->port.device, "The port, with its --format");
            command.add_option("--rig", options->rig, "Rig file (TOML): all its instruments together");
            add_port_options(command, options->port);
            command.add_option("--seconds", options->seconds, "How long to read (10)")->check(CLI::Range(0.5, 3600.0));
            command.add_flag("--json", options->json, "Print JSON");
            command.callback([options] { Settler(*options).run(); });
        });
}

}  // namespace halfturn::command
