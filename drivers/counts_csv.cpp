// counts-csv: fields separated by commas from a microcontroller behind a bridge converter; the setting `fields` names them.
//
//     12500,459753 CR LF                        fields = us,raw
//     459753 CR LF                              fields = raw (the default)
//     1203,0.38,lbs,8355808, CR LF              fields = ms,value,unit,raw   (a comma at the end is allowed)
//     fields    us, ms: the board's clock · raw: the converter's 24 bits · value, unit: what the board makes of it
//     encoding  twos24 (the default) · u24_twos: the same bits printed without a sign · offset24: after bits ^ 800000h
//     anything else before the first data line is a banner; a banner later means that the board started again
//
// Sources: sparkfun/OpenScale firmware 1.2 (line), tatobari/hx711py issue 7 (full scale), bogde/HX711 issue 83 (spikes),
// Arduino forum 406330 (offset binary).
// Traps: 7FFFFFh and 800000h are "saturated", not forces. 2^n - 1 and all ones are clocking glitches: kept, but marked. An
// unplugged cell gives noise or saturation, not silence. micros() starts again at 0 after 71.6 minutes, millis() after 49.7
// days; a clock that jumps back otherwise means a restart. A bare "x" stops the firmware and opens its menu: never write.
// With raw named, raw is what is read; value and unit are checked for shape only.
// Line: 115200 8N1 (OpenScale 9600). Overload: saturated. Silence 1 s. Lag 0.4 s at 10 and 0.05 s at 80 readings a second
// (the converter settles over four); firmware that averages adds its own.
#include <array>

#include "drivers/shared/board_clock.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_counts_csv;

namespace {

constexpr std::int64_t most_counts = 0x7FFFFF, least_counts = -0x800000, span = 0x1000000;
constexpr std::int64_t least_marked_glitch = 255;  // smaller 2^n - 1 are too ordinary to mark

enum class Field : std::uint8_t { us, ms, value, unit, raw };
enum class Encoding : std::uint8_t { twos24, u24_twos, offset24 };

class CountsCsv final : public Lines<CountsCsv> {
public:
    static constexpr std::size_t longest_line = 120;

    CountsCsv(const Options& options, Start start) : Lines(start, longest_line), set_unit_(options.unit()) {
        encoding_ = static_cast<Encoding>(options.choice("encoding", {"twos24", "u24_twos", "offset24"}, 0));
        bool value = false;
        auto names = options.list("fields");
        if (names.empty()) names = {"raw"};
        for (const auto& name : names) {
            static constexpr std::array<std::string_view, 5> known = {"us", "ms", "value", "unit", "raw"};
            const auto found = static_cast<std::size_t>(std::find(known.begin(), known.end(), name) - known.begin());
            if (found == known.size() || count_ == fields_.size() || (seen_ >> found & 1) != 0)
                throw options.error("fields", "a list of us, ms, value, unit, raw in the order they are printed, each once");
            seen_ |= 1u << found;
            fields_[count_++] = static_cast<Field>(found);
            value = value || name == "value" || name == "raw";
        }
        if (!value) throw options.error("fields", "a list that holds raw or value");
        if (has(Field::us) && has(Field::ms)) throw options.error("fields", "a list with us or ms, not both");
    }

    void line(std::string_view text, Items& items) {
        Row row;
        const char* problem = read(text, row);
        if (problem) {
            // A board that starts says so in words; a data line that was hurt begins like a number.
            const bool words = text.size() >= 2 && is_wordy(text[0]) && is_wordy(text[1]);
            if (words && running_) {
                running_ = false;
                clock_ = {};
                add_fault(items, FaultCode::device_restarted, text.substr(0, 40));
            } else if (words || (!running_ && !is_digit(text[0]) && text[0] != '-')) {
                add_info(items, "banner", text);
            } else {
                add_reject(items, problem);
            }
            return;
        }
        running_ = true;
        if (row.timed && clock_.restarted(row.time, has(Field::us) ? 60'000'000u : 60'000u))
            add_fault(items, FaultCode::device_restarted, "clock went back");
        emit(row, items);
    }

private:
    struct Row {
        ParsedDecimal value;
        Unit unit = Unit::none;
        std::int64_t raw = 0;
        std::string_view raw_text;
        std::uint64_t time = 0;
        bool timed = false;
    };

    bool has(Field field) const { return (seen_ >> static_cast<unsigned>(field) & 1) != 0; }
    static bool is_wordy(char c) { return is_letter(c) || c == '_'; }

    // Nothing when the row is good, else the reason.
    const char* read(std::string_view text, Row& row) const {
        for (std::size_t i = 0; i < count_; ++i) {
            if (i > 0 && !skip_one(text, ',')) return "format";
            switch (fields_[i]) {
                case Field::us:
                case Field::ms:
                    if (!take_digits(text, row.time) || row.time >= board_clock_span) return "format";
                    row.timed = true;
                    break;
                case Field::value: {
                    const auto value = take_decimal(text);
                    if (!value) return "format";
                    row.value = *value;
                    break;
                }
                case Field::unit: {
                    std::size_t length = 0;
                    while (length < text.size() && text[length] != ',') ++length;
                    const auto unit = unit_from_wire(text.substr(0, length));
                    if (!unit) return "unit";
                    row.unit = *unit;
                    text.remove_prefix(length);
                    break;
                }
                case Field::raw:
                    if (const char* problem = take_raw(text, row)) return problem;
                    break;
            }
        }
        skip_one(text, ',');
        drop_trailing_blanks(text);
        return text.empty() ? nullptr : "format";
    }

    static bool take_digits(std::string_view& text, std::uint64_t& value) {
        std::size_t length = 0;
        value = 0;
        for (; length < text.size() && is_digit(text[length]); ++length) {
            if (length == 12) return false;
            value = value * 10 + static_cast<std::uint64_t>(text[length] - '0');
        }
        text.remove_prefix(length);
        return length > 0;
    }

    const char* take_raw(std::string_view& text, Row& row) const {
        const std::string_view from = text;
        const bool minus = skip_one(text, '-');
        std::uint64_t size = 0;
        if (!take_digits(text, size)) return "format";
        row.raw_text = from.substr(0, from.size() - text.size());
        const std::int64_t printed = minus ? -static_cast<std::int64_t>(size) : static_cast<std::int64_t>(size);
        if (encoding_ == Encoding::twos24) {
            row.raw = printed;
        } else {
            if (minus || printed >= span) return "range";
            row.raw = encoding_ == Encoding::offset24 ? printed + least_counts : printed > most_counts ? printed - span : printed;
        }
        return row.raw < least_counts || row.raw > most_counts ? "range" : nullptr;
    }

    void emit(const Row& row, Items& items) const {
        Reading* reading = nullptr;
        if (has(Field::raw)) {
            if (row.raw == most_counts || row.raw == least_counts)
                return add_fault(items, FaultCode::saturated, row.raw_text);
            reading = &add_whole(items, row.raw, Unit::counts);
            if (row.raw == -1) reading->suspect = Suspect::all_ones;
            else if (row.raw >= least_marked_glitch && (row.raw & (row.raw + 1)) == 0)
                reading->suspect = Suspect::power_of_two_less_one;
        } else {
            reading = &add_reading(items, row.value, has(Field::unit) ? row.unit : set_unit_);
            reading->unit_from_settings = !has(Field::unit);
        }
        if (row.timed) {
            reading->clock = has(Field::us) ? DeviceClock::us : DeviceClock::ms;
            reading->device_time = row.time;
        }
    }

    std::array<Field, 5> fields_{};
    std::size_t count_ = 0;
    unsigned seen_ = 0;
    Encoding encoding_ = Encoding::twos24;
    Unit set_unit_;
    bool running_ = false;  // a data line was seen since the last banner
    BoardClock clock_;      // silence of more than a minute is no wrap any more
};

}  // namespace

const Format format_counts_csv = {
    .id = "counts-csv",
    .title = "comma-separated counts of a bridge converter (\"12500,459753\")",
    .measures = Quantity::force,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = CountsCsv::longest_line,
    .silence_s = 1,
    .lag_s = 0.05,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"fields", "encoding", "unit"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<CountsCsv>(Options(format_counts_csv, settings), start);
    },
};

}  // namespace halfturn
