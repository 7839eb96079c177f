// sma-0499: the open scale protocol SCP-0499. A record begins with LF and ends with CR.
//
//     LF s r n m f 10 characters of value, 3 of unit CR              20 bytes
//     s  blank · Z centre of zero · O over · U under · E zero error · T tare error       r  range
//     n  G gross N net T tare; small letters: high resolution        m  M motion or blank        f  reserved
//     ---------- in place of the value: none          LF ? CR: unknown command
//
// Sources: PR 5220 p.130, PR 5211 p.48-53, T419S p.61, X-series p.120. Polls: LF W CR weight, P after stability, R repeat …
// Traps: a splitter on LF is one record late. A record one character short is refused. Status first: O and U records may
// carry a number. No value and no status: the scale waited for standstill in vain.
// Line: 9600 8N1. Overload: status O. Silence 1 s (repeat every 100 to 170 ms). Lag 0.2 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/seven_bits.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_sma_0499;

namespace {

constexpr std::size_t longest_record = 64;  // weights take 20; the answers to A, B and D are longer texts
constexpr std::size_t weight_size = 18;     // without LF and CR
constexpr char line_feed_with_parity = '\x8A';
constexpr std::string_view no_value = "----------";

class Sma0499 final : public Decoder {
public:
    explicit Sma0499(Start start) : presync_(start == Start::mid_line) {}

    std::unique_ptr<Decoder> clone() const override { return std::make_unique<Sma0499>(*this); }

    std::size_t take(std::string_view head, bool ended, Items& items) override {
        if (const std::size_t done = take_wrong_parity(head, items); done > 0) return done;
        if (head.front() == line_feed_with_parity && head.size() < weight_size + 2 && !ended) return 0;
        if (head.front() != '\n') {
            // Between records there may only be the end of the one before.
            if (!in_rubbish_ && head.front() != '\r') {
                add_reject(items, presync_ ? "presync" : "format");
                in_rubbish_ = true;
            }
            return 1;
        }
        const std::string_view visible = head.substr(0, longest_record);
        const std::size_t end = visible.find_first_of("\r\n", 1);
        if (end == std::string_view::npos) {
            if (visible.size() < longest_record) return 0;
            add_reject(items, "length");
            in_rubbish_ = true;
            return longest_record;
        }
        presync_ = in_rubbish_ = false;
        if (visible[end] == '\n') {  // a new record begins: this one lost its end
            if (end > 1) add_reject(items, "length");
            return end;
        }
        record(visible.substr(1, end - 1), items);
        return end + 1;
    }

private:
    // A whole record of a 7-bit instrument read as 8 bits; 0 when it is none.
    std::size_t take_wrong_parity(std::string_view head, Items& items) {
        constexpr std::size_t size = weight_size + 2;
        if (head.size() < size || (head.front() & 0x7F) != '\n') return 0;
        const Parity parity = parity_of(head.substr(0, size));
        if (parity == Parity::none) return 0;
        const std::string stripped = without_bit_7(head.substr(0, size));
        Items trial;
        if (stripped.back() == '\r' && stripped.find('\n', 1) == std::string::npos)
            record(std::string_view(stripped).substr(1, weight_size), trial);
        if (trial.empty() || std::holds_alternative<Reject>(trial.front())) return 0;
        items.push_back(wrong_line_settings(parity, wrong_parity_));
        in_rubbish_ = presync_ = false;
        return size;
    }

    static void record(std::string_view text, Items& items) {
        if (text == "?") return add_fault(items, FaultCode::bad_command, text);
        if (text.size() > 4 && text[3] == ':') return add_info(items, "about", text);
        if (text.size() != weight_size) return add_reject(items, "length");
        const char status = text[0], range = text[1], mode = text[2], motion = text[3];
        if (range < '0' || range > '9' || (motion != 'M' && motion != ' ')) return add_reject(items, "format");
        switch (status) {
            case 'O': return add_fault(items, FaultCode::overload, "O");
            case 'U': return add_fault(items, FaultCode::underload, "U");
            case 'E': return add_fault(items, FaultCode::zero_refused, "E");
            case 'T': return add_fault(items, FaultCode::tare_refused, "T");
            case 'Z':
            case ' ': break;
            default: return add_reject(items, "format");
        }
        std::string_view figures = text.substr(5, 10);
        if (figures == no_value) return add_fault(items, FaultCode::not_stable, "no value");
        skip_blanks(figures);
        const auto value = parse_decimal(figures);
        const auto unit = unit_from_wire(text.substr(15));
        const auto kind = kind_of(mode);
        if (!value || !unit || !kind) return add_reject(items, "format");
        Reading& reading = add_reading(items, *value, *unit);
        reading.kind = *kind;
        reading.high_resolution = mode >= 'a';
        reading.stable = motion == ' ';
        reading.centre_of_zero = status == 'Z';
    }

    static std::optional<Kind> kind_of(char mode) {
        switch (mode) {
            case 'G':
            case 'g': return Kind::gross;
            case 'N':
            case 'n': return Kind::net;
            case 'T':
            case 't': return Kind::tare;
            default: return {};
        }
    }

    bool presync_;
    bool in_rubbish_ = false;
    Parity wrong_parity_ = Parity::none;  // found: the port reads a 7-bit instrument as 8 bits
};

}  // namespace

const Format format_sma_0499 = {
    .id = "sma-0499",
    .title = "open scale protocol SCP-0499 (LF \" 1G       5.025lb \" CR)",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = longest_record,
    .silence_s = 1,
    .lag_s = 0.2,
    .poll = "\nW\r",
    .poll_every_s = 0.12,
    .settings = {},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        Options(format_sma_0499, settings);
        return std::make_unique<Sma0499>(start);
    },
};

}  // namespace halfturn
