// halfturn instruments listen PORT: raw bytes beside what they mean, live, and which formats fit. Nothing is written to the
// port unless a format that is asked was chosen.
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <memory>
#include <optional>

#include "command/command.hpp"
#include "command/instruments.hpp"
#include "core/failure.hpp"
#include "core/framer.hpp"
#include "core/item_json.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "drivers/shared/ranking.hpp"
#include "ports/sequencer.hpp"

namespace halfturn::command {
namespace {

struct ListenOptions {
    PortChoice port;
    double seconds = 0;
    bool json = false;
};

// Tried in this order when bytes come that no format makes sense of. Common practice, no published source.
constexpr std::array<LineSettings, 8> usual_lines = {{
    {.baud = 9600}, {.baud = 115200}, {.baud = 4800, .bits = 7, .parity = Parity::even, .stop = 2},
    {.baud = 2400, .bits = 7, .parity = Parity::even}, {.baud = 19200}, {.baud = 38400}, {.baud = 57600}, {.baud = 256000}}};

constexpr double trial_s = 1.5;               // from the first byte heard with these line settings
constexpr std::size_t enough_bytes = 400, fewest_bytes = 24;
constexpr double convincing_share = 0.7, convincing_bits = 48;
constexpr Instant rank_every = nanoseconds_per_second, silent_after = 3 * nanoseconds_per_second;
constexpr std::size_t raw_row = 32, fits_shown = 5;

bool convincing(const std::vector<Fit>& fits) {
    return !fits.empty() && fits[0].readings >= 2 && fits[0].share >= convincing_share && fits[0].bits >= convincing_bits;
}

class Listener {
public:
    explicit Listener(const ListenOptions& options)
        : options_(options), decided_(!options.port.format.empty() || options.port.line_given()) {
        set_up_.ports.push_back(port_from(options.port));
        line_ = set_up_.ports[0].line;
        if (!options.port.format.empty()) {
            const Format* chosen = find_format(options.port.format);
            follow(as_set(*chosen, set_up_.ports[0].settings), *chosen, set_up_.ports[0].settings);
        }
    }

    void run() {
        Sequencer sequencer(set_up_, [this](const Event& event) { guarded([&] { on(event); }); });
        sequencer_ = &sequencer;
        for (const auto& problem : sequencer.open_ports()) throw BadInput(problem);
        say_line("listening to " + set_up_.ports[0].device + " at " + line_text(line_));
        if (!options_.json)
            print(options_.port.format.empty() ? "Nothing is sent to the instrument. Ctrl-C ends.\n" : "Ctrl-C ends.\n");
        sequencer.on_signal([&](int) { sequencer.stop(); });
        if (options_.seconds > 0) sequencer.after(options_.seconds, [&] { sequencer.stop(); });
        sequencer.run();
        sequencer_ = nullptr;
        if (trouble_) std::rethrow_exception(trouble_);
        flush_raw();
        sum_up();
    }

private:
    // Nothing may leave the loop by exception but through here.
    template <class WhatToDo>
    void guarded(WhatToDo what) {
        try {
            what();
        } catch (...) {
            trouble_ = std::current_exception();
            sequencer_->stop();
        }
    }

    void follow(const Format& format, const Format& listed, const Settings& settings) {
        flush_raw();
        format_ = format;
        framer_.emplace(listed, settings, Start::mid_line, true);
    }

    void on(const Event& event) {
        now_ = event.at;
        if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) hear(arrived->bytes);
        else if (const auto* sent = std::get_if<BytesSent>(&event.what)) asked(sent->bytes);
        else if (const auto* changed = std::get_if<PortChanged>(&event.what); changed && changed->state == PortState::lost)
            say_line("the port is gone (" + changed->detail + "); it is tried again by its name");
        else if (changed && was_lost_) say_line("the port is back");
        else if (std::holds_alternative<Tick>(event.what)) tick();
        if (const auto* changed = std::get_if<PortChanged>(&event.what)) was_lost_ = changed->state == PortState::lost;
    }

    void asked(const std::string& bytes) {
        framer_->sent(bytes);
        if (options_.json) {
            JsonWriter out;
            return print(out.object().put("t", "sent").put("t_s", seconds(now_)).put("hex", hex_text(bytes)).end().take() + "\n");
        }
        if (!told_request_) print("  asking with " + hex_text(bytes) + "  " + printable_text(bytes) + "\n");
        told_request_ = true;
    }

    void hear(const std::string& bytes) {
        // An escape of PARMRK cut between two reads waits for its end.
        std::string whole = carry_ + bytes;
        carry_.clear();
        std::size_t marks = 0;
        for (std::size_t i = 0; i < whole.size();) {
            const std::size_t length = whole[i] != '\xFF' ? 1 : i + 1 < whole.size() && whole[i + 1] == '\0' ? 3 : 2;
            if (i + length > whole.size()) break;
            i += length;
            marks = i;
        }
        carry_ = whole.substr(marks);
        whole.resize(marks);
        const Unmarked plain = without_marks(whole);
        if (heard_.empty()) heard_since_ = now_;
        heard_.append(plain.bytes, 0, most_ranked_bytes - std::min(most_ranked_bytes, heard_.size()));
        wrong_ += plain.wrong;
        bytes_ += plain.bytes.size();
        fresh_ = true;
        raw_ += plain.bytes;
        if (!framer_) return show_raw();
        framer_->feed(whole, [&](const Item& item, std::size_t after) { show(item, after); });
    }

    void show(const Item& item, std::size_t after) {
        const std::size_t length = raw_.size() > after ? raw_.size() - after : 0;
        row(std::string_view(raw_).substr(0, length), &item);
        raw_.erase(0, length);
        if (std::holds_alternative<Reading>(item)) ++readings_;
    }

    // Without a format: a row for each line, or for what fills one.
    void show_raw() {
        for (;;) {
            std::size_t end = raw_.find_first_of("\r\n;");
            while (end != std::string::npos && end + 1 < raw_.size() && (raw_[end + 1] == '\r' || raw_[end + 1] == '\n')) ++end;
            const std::size_t length = end == std::string::npos ? raw_row : std::min(end + 1, raw_row);
            if (end == std::string::npos && raw_.size() < raw_row) return;
            row(std::string_view(raw_).substr(0, length), nullptr);
            raw_.erase(0, length);
        }
    }

    void flush_raw() {
        if (!raw_.empty()) row(raw_, nullptr);
        raw_.clear();
    }

    void row(std::string_view raw, const Item* item) {
        if (options_.json) {
            JsonWriter out;
            out.object().put("t", "heard").put("t_s", seconds(now_)).put("hex", hex_text(raw));
            if (item) out.key("means").raw(item_json(*item, format_));
            return print(out.end().take() + "\n");
        }
        // The end of the line before is not worth a look.
        raw.remove_prefix(std::min(raw.find_first_not_of("\r\n"), raw.size()));
        if (raw.empty() && !item) return;
        std::string line = fixed_text(seconds(now_), 2);
        line.insert(0, line.size() < 8 ? 8 - line.size() : 0, ' ');
        line += "  " + padded(printable_text(raw), 20);
        if (item) line += "  " + padded(item_text(*item), 26);
        print(cut(line + "  " + hex_text(raw)) + "\n");
    }

    static std::string padded(std::string text, std::size_t width) {
        const std::size_t now = columns(text);
        if (now < width) text.append(width - now, ' ');
        return text;
    }

    // As wide as the terminal, whole in a pipe. What is cut is hexadecimal, one column a byte.
    static std::string cut(std::string line) {
        winsize w{};
        if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &w) != 0 || w.ws_col < 64) return line;
        const std::size_t over = columns(line) > w.ws_col ? columns(line) - w.ws_col + 1 : 0;
        if (over > 0 && over < line.size()) line.replace(line.size() - over, over, "…");
        return line;
    }

    void say_line(const std::string& text) {
        if (!options_.json) return print("-- " + text + "\n");
        JsonWriter out;
        print(out.object().put("t", "note").put("t_s", seconds(now_)).put("says", text).end().take() + "\n");
    }

    void tick() {
        if (!framer_ && !fresh_) flush_raw();
        if (bytes_ == 0 && !told_silence_ && now_ >= silent_after) {
            told_silence_ = true;
            say_line("nothing is heard. It may be switched off, or wait to be asked: choose its --format, and it will be");
        }
        if (fresh_ && now_ - ranked_at_ >= rank_every) rank();
        fresh_ = false;
    }

    void rank() {
        if (heard_.size() < fewest_bytes) return;
        ranked_at_ = now_;
        warn_of_seven_bits();
        if (!options_.port.format.empty()) return;
        if (decided_ && heard_.size() >= most_ranked_bytes && framer_) return;
        fits_ = rank_formats(heard_);
        if (convincing(fits_)) {
            decided_ = true;
            if (!framer_ || format_.id != fits_[0].format->id) {
                say_fit();
                follow(as_set(*fits_[0].format, fits_[0].settings), *fits_[0].format, fits_[0].settings);
            }
        } else if (!decided_ && (heard_.size() >= enough_bytes || seconds(now_ - heard_since_) >= trial_s)) {
            next_line_settings();
        }
    }

    void warn_of_seven_bits() {
        const Parity parity = seven_bit_parity(heard_);
        if (parity == Parity::none || told_seven_bits_) return;
        told_seven_bits_ = true;
        const std::string name = parity == Parity::even ? "even" : "odd";
        say_line("these are 7-bit characters with " + name + " parity read as 8 bits: --bits 7 --parity " + name + " is right");
        if (options_.port.line_given() || !options_.port.format.empty() || line_.bits == 7) return;
        line_.bits = 7;
        line_.parity = parity;
        use_line();
    }

    void next_line_settings() {
        tried_.push_back({line_, fits_.empty() ? 0 : fits_[0].bits});
        for (const LineSettings& line : usual_lines) {
            const auto same = [&](const Trial& t) {
                return t.line.baud == line.baud && t.line.bits == line.bits && t.line.parity == line.parity;
            };
            if (std::any_of(tried_.begin(), tried_.end(), same)) continue;
            line_ = line;
            say_line("no format fits; trying " + line_text(line_));
            return use_line();
        }
        decided_ = true;
        line_ = std::max_element(tried_.begin(), tried_.end(), [](const Trial& a, const Trial& b) { return a.bits < b.bits; })->line;
        say_line("no format fits at any usual line setting; back to " + line_text(line_) + ". Give --baud and --parity from its manual");
        use_line();
    }

    void use_line() {
        line_.dtr = set_up_.ports[0].line.dtr;
        line_.rts = set_up_.ports[0].line.rts;
        if (const std::string problem = sequencer_->set_line(0, line_); !problem.empty()) say_line(problem);
        heard_.clear();
        carry_.clear();
        flush_raw();
    }

    void say_fit() {
        const Fit& best = fits_[0];
        std::string alike;
        for (std::size_t i = 1; i < fits_.size(); ++i)
            if (as_good(fits_[i], best)) alike += (alike.empty() ? "" : ", ") + std::string(fits_[i].format->id);
        say_line("fits best: " + std::string(best.format->id) + option_text(best.settings) + ", " + std::string(best.format->title));
        if (!alike.empty()) say_line("fits as well: " + alike + "; nothing in what was heard tells them apart");
        if (!best.open.empty()) {
            std::string keys;
            for (const auto& key : best.open) keys += (keys.empty() ? "" : ", ") + key;
            say_line("not on the wire, so you must know it: " + keys);
        }
    }

    void sum_up() {
        if (options_.port.format.empty() || heard_.size() >= fewest_bytes) fits_ = rank_formats(heard_);
        if (options_.json) return print(json_summary() + "\n");
        print("\n" + std::to_string(bytes_) + " bytes at " + line_text(line_) +
              (wrong_ > 0 ? ", " + std::to_string(wrong_) + " of them marked wrong by the line" : "") +
              (framer_ ? ", " + std::to_string(readings_) + " readings as " + std::string(format_.id) : "") + ".\n");
        if (fits_.empty()) return print(bytes_ > 0 ? "No format fits what was heard.\n" : "");
        print("Formats that fit, best first:\n");
        for (std::size_t i = 0; i < std::min(fits_.size(), fits_shown); ++i) {
            std::string id(fits_[i].format->id);
            id.resize(std::max<std::size_t>(id.size(), 14), ' ');
            print("  " + id + " reads " + fixed_text(100 * fits_[i].share, 0) + " %, " + fixed_text(fits_[i].bits_per_byte, 1) +
                  " bits a byte strict, " + std::to_string(fits_[i].readings) + " readings, " + std::to_string(fits_[i].rejects) + " refused\n");
        }
        const bool chosen = !options_.port.format.empty();
        if (!chosen && !convincing(fits_)) return;
        print("\nFor the rig file:  halfturn instruments save " + set_up_.ports[0].device + " --format " +
              (chosen ? options_.port.format : std::string(fits_[0].format->id)) +
              option_text(chosen ? settings_from(options_.port.set) : fits_[0].settings) + " --baud " +
              std::to_string(line_.baud) + " --measures …\n");
    }

    std::string json_summary() const {
        JsonWriter out;
        out.object().put("t", "summary").put("device", set_up_.ports[0].device).put("line", line_text(line_));
        out.put("bytes", static_cast<std::int64_t>(bytes_))
            .put("marked_wrong", static_cast<std::int64_t>(wrong_))
            .put("readings", readings_);
        out.put("seven_bits_read_as_eight", told_seven_bits_).key("fits").array();
        for (const Fit& fit : fits_) {
            out.object().put("format", fit.format->id).key("settings").object();
            for (const auto& [key, value] : fit.settings) out.put(key, value);
            out.end().key("must_be_known").array();
            for (const auto& key : fit.open) out.text(key);
            out.end().put("share", fit.share).put("bits_per_byte", fit.bits_per_byte).put("bits", fit.bits);
            out.put("readings", fit.readings)
                .put("faults", fit.faults)
                .put("rejects", fit.rejects)
                .put("as_good", as_good(fit, fits_[0]))
                .end();
        }
        return out.end().end().take();
    }

    struct Trial {
        LineSettings line;
        double bits;
    };

    ListenOptions options_;
    SetUp set_up_;
    LineSettings line_;
    Sequencer* sequencer_ = nullptr;
    Format format_{};
    std::optional<Framer> framer_;
    std::vector<Fit> fits_;
    std::vector<Trial> tried_;
    std::string heard_, raw_, carry_;
    std::size_t bytes_ = 0, wrong_ = 0;
    int readings_ = 0;
    Instant now_ = 0, heard_since_ = 0, ranked_at_ = -rank_every;
    bool decided_, fresh_ = false, was_lost_ = false;
    bool told_request_ = false, told_silence_ = false, told_seven_bits_ = false;
    std::exception_ptr trouble_;
};

}  // namespace

void add_listen(CLI::App& instruments) {
    add_subcommand(instruments, "listen",
        "Show what an instrument says, raw and decoded, and which formats fit.\n"
        "Listens only: nothing is written to the port before you chose its --format. Where bytes come that no format makes\n"
        "sense of, the usual line settings are tried one after the other; each one used is said.",
        [](CLI::App& command) {
            auto options = std::make_shared<ListenOptions>();
            command.add_option("device", options->port.device, "The port (`halfturn instruments` lists them)")->required();
            add_port_options(command, options->port);
            command.add_option("--seconds", options->seconds, "Stop after this many seconds; else Ctrl-C does")
                ->check(CLI::Range(0.1, 86400.0));
            command.add_flag("--json", options->json, "One JSON object a line, and a summary at the end");
            command.callback([options] { Listener(*options).run(); });
        });
}

}  // namespace halfturn::command
