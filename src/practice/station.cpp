#include "practice/station.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"

namespace halfturn::practice {
namespace {

constexpr double board_starts_s = 0.4;  // after power-up until a board's first value
constexpr std::size_t longest_command = 64;

std::string list_of_formats() {
    std::string list;
    for (const auto* kind : instrument_kinds()) list += (list.empty() ? "" : ", ") + std::string(kind->format);
    return list;
}

Wire make_wire(const PortWish& wish, OptionReader& options, Random& random) {
    const double baud = options.number("baud", wish.kind->baud, 300, 4e6);
    const double usual_ms = std::array{1.0, 2.0, 4.0, 16.0}[static_cast<std::size_t>(random.pick(0, 3))];
    const double batch_ms = options.number("batch_ms", usual_ms, 0, 100);
    return Wire(wish.kind->bits_per_character / baud, batch_ms / 1000, random);
}

}  // namespace

PortWish read_port_wish(const std::string& text) {
    const auto fail = [&](const std::string& what) {
        throw BadInput("--port " + text + ": " + what +
                       "; write NAME=FORMAT:MEASURE[,key=value...], such as force=hdr-comma:force,unit=kN");
    };
    const std::size_t equals = text.find('='), colon = text.find(':');
    if (equals == std::string::npos || equals == 0 || colon == std::string::npos || colon < equals)
        fail("can't be read");
    PortWish wish;
    wish.name = text.substr(0, equals);
    const std::string format = text.substr(equals + 1, colon - equals - 1);
    for (const auto* kind : instrument_kinds())
        if (kind->format == format) wish.kind = kind;
    if (!wish.kind) fail("\"" + format + "\" is none of " + list_of_formats());
    const std::size_t comma = std::min(text.find(',', colon), text.size());
    const std::string measure = text.substr(colon + 1, comma - colon - 1);
    const auto known = measure_from_name(measure);
    if (!known) fail("\"" + measure + "\" is none of force, screw-travel, ring-travel, turns");
    wish.measures = *known;
    if (std::find(wish.kind->measures.begin(), wish.kind->measures.end(), *known) == wish.kind->measures.end())
        fail("no instrument that talks " + format + " measures " + measure);
    std::string last_key;
    for (std::size_t from = comma; from < text.size();) {
        const std::size_t to = std::min(text.find(',', from + 1), text.size());
        const std::string part = text.substr(from + 1, to - from - 1);
        const std::size_t sign = part.find('=');
        if (sign == std::string::npos && last_key.empty()) fail("\"" + part + "\" is no key=value");
        if (sign == std::string::npos) {
            wish.options[last_key] += "," + part;  // a list: fields=us,raw
        } else {
            last_key = part.substr(0, sign);
            wish.options[last_key] = part.substr(sign + 1);
        }
        from = to;
    }
    return wish;
}

std::vector<PortWish> usual_ports() {
    return {read_port_wish("force=hdr-comma:force"), read_port_wish("caliper=value-unit:screw-travel"),
            read_port_wish("counter=axis-semi:turns")};
}

Station::Station(const PortWish& wish, double starts_mm, std::uint64_t seed)
    : wish_(wish), random_(seed, "port " + wish.name), wire_(0, 0, random_) {
    OptionReader options(wish_.options, "--port " + wish_.name);
    instrument_ = wish_.kind->make(options);
    const double rate = options.number("rate_hz", wish_.kind->rate_per_s, 0.1, 1000);
    every_s_ = 1 / (rate * (1 + random_.between(-1, 1) * wish_.kind->rate_spread));
    noise_ = options.number("noise", wish_.measures == Measure::turns ? 0 : wish_.kind->noise, 0, 1000);
    lag_s_ = options.number("lag_s", wish_.kind->lag_s, 0, 5);
    if (wish_.measures == Measure::force) feels_stray_ = options.number("feels_stray", 1, 0, 1) > 0;
    factor_ = options.number("sign", 1, -1, 1) < 0 ? -1 : 1;
    double usual_start = 0;
    if (wish_.measures == Measure::force) usual_start = random_.between(-4, 6);
    if (wish_.measures == Measure::screw_travel || wish_.measures == Measure::ring_travel) usual_start = starts_mm;
    if (wish_.measures == Measure::turns) usual_start = random_.between(-3, 3);
    offset_ = options.number("starts_at", usual_start, -1e6, 1e6);
    wire_ = make_wire(wish_, options, random_);
    options.refuse_others();
}

std::optional<double> Station::asked_every_s() const {
    if (instrument_->streams()) return {};
    return wish_.kind->asked_every_s;
}

double Station::reading() { return factor_ * shown_ + offset_ - factor_ * zero_ + random_.normal(noise_); }

void Station::tick(double t_s, double dt_s, double true_value) {
    now_s_ = t_s;
    shown_ = first_ || lag_s_ < dt_s ? true_value : shown_ + (true_value - shown_) * dt_s / lag_s_;
    if (first_) next_s_ = t_s + random_.between(0, every_s_);
    first_ = false;
    if (t_s < next_s_) return;
    next_s_ = std::max(t_s, next_s_ + every_s_ + random_.normal(wish_.kind->jitter_s * 0.5));
    if (t_s < off_until_s_ || !instrument_->streams()) return;
    const Shown shown{t_s, reading()};
    const bool glitch = std::exchange(glitch_, false);
    wire_.send(t_s + wish_.kind->print_delay_s, glitch ? instrument_->print_glitch(shown, random_) : instrument_->print(shown));
}

void Station::receive(double t_s, std::string_view bytes) {
    for (const char c : bytes) {
        if (c != '\r' && c != '\n') {
            if (heard_.size() < longest_command) heard_ += c;
            continue;
        }
        if (heard_.empty()) continue;
        const Shown shown{now_s_, reading()};
        if (auto answer = instrument_->answer(heard_, shown)) {
            if (!instrument_->streams() && std::exchange(glitch_, false)) answer = instrument_->print_glitch(shown, random_);
            wire_.send(t_s + wish_.kind->print_delay_s * random_.between(0.8, 2), *answer);
        }
        if (instrument_->take_zero_request()) set_to_zero();
        heard_.clear();
    }
}

void Station::connect(double t_s, bool power_was_off) {
    wire_.lose_before(t_s);
    heard_.clear();
    const std::string banner = instrument_->power_up(t_s);
    if (!power_was_off || banner.empty()) return;
    wire_.send(t_s + 0.05, banner);
    off_until_s_ = t_s + board_starts_s;
}

}  // namespace halfturn::practice
