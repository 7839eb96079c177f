// described: whatever a TOML description says: a one-off ASCII instrument, or a map of Modbus registers.
//
//     settings   instrument = NAME     one that comes with the program (drivers/descriptions/NAME.toml)
//                file = PATH           your own; its text is kept with the job
//                description = TEXT    the text itself
//                unit, slave           override what the description says
//
//     title = "…"                      measures = "force" | "length" | "counts"        unit = "N" (where the wire has none)
//     silence_s, lag_s                 [serial] baud, bits, parity, stop, dtr, rts      [poll] send = "Q\r\n", every_s
//     lines:    [lines] end, longest, decimals (of a value without a mark), decimal, check_from
//               [[form]] pattern = "{state:1} {value:6}{unit:2}"   a word that means a fault, fault = CODE or info = true
//                        instead of a value
//               fields: {value} {unit} {channel:n} {skip:n} {rest} {check-xor:1|2} { } and every table of words
//               [words.state] "S" = "stable", "O" = "overload" …          [units] "K" = "kgf"
//     Modbus:   [modbus] slave, function, address, registers
//               [[value]] register, type, order, decimals, decimals_register, decimals_mask, sign_register, sign_mask, channel
//               [[status]] register, mask, equals, means
//
// Sources: stand in each description. Traps: the first form that fits a whole line is taken, so write the faults first. A
// word that no table knows makes the line a reject. Value and status of a Modbus map come in one answer, never in two.
#include "drivers/shared/description.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"
#include "files/whole_file.hpp"

namespace halfturn {

extern const Format format_described;

namespace {

constexpr std::size_t longest_frame = 512;

std::shared_ptr<const Description> description_of(const Settings& settings) {
    const Options options(format_described, settings);
    if (const auto text = options.text("description"))
        return std::make_shared<const Description>(read_description(*text, "description"));
    if (const auto file = options.text("file"))
        return std::make_shared<const Description>(read_description(whole_file(std::string(*file)), std::string(*file)));
    const auto name = options.text("instrument");
    if (name)
        if (const auto found = shipped_descriptions().find(*name); found != shipped_descriptions().end())
            return std::make_shared<const Description>(read_description(found->second, std::string(*name) + ".toml"));
    std::string list;
    for (const auto& [known, text] : shipped_descriptions()) list += (list.empty() ? "" : ", ") + std::string(known);
    throw options.error("instrument", "one of " + list + ", or file = the path of your own description (`halfturn example instrument` "
                                      "prints one to start from)");
}

Unit unit_of(const Description& description, const Settings& settings) {
    const Unit set = Options(format_described, settings).unit();
    return set != Unit::none ? set : description.unit;
}

int slave_of(const Description& description, const Settings& settings) {
    return static_cast<int>(Options(format_described, settings).integer("slave", 1, 247, description.registers->slave));
}

class DescribedLines final : public Lines<DescribedLines> {
public:
    DescribedLines(std::shared_ptr<const Description> description, Unit unit, Start start)
        : Lines(start, description->lines->longest), description_(std::move(description)), unit_(unit) {}

    void line(std::string_view text, Items& items) { read_described_line(*description_->lines, unit_, text, items); }

private:
    std::shared_ptr<const Description> description_;
    Unit unit_;
};

// Frames that end with a character of their own.
class DescribedFrames final : public Decoder {
public:
    DescribedFrames(std::shared_ptr<const Description> description, Unit unit, Start start)
        : description_(std::move(description)), unit_(unit), skipping_(start == Start::mid_line), presync_(skipping_) {}

    std::unique_ptr<Decoder> clone() const override { return std::make_unique<DescribedFrames>(*this); }

    std::size_t take(std::string_view head, bool, Items& items) override {
        const LineMap& map = *description_->lines;
        const std::string_view visible = head.substr(0, map.longest);
        const std::size_t end = visible.find(*map.end);
        if (end == std::string_view::npos) {
            if (visible.size() < map.longest) return 0;
            if (!skipping_) add_reject(items, "length");
            skipping_ = true;
            return map.longest;
        }
        if (!skipping_) read_described_line(map, unit_, visible.substr(0, end), items);
        else if (presync_ && end > 0) add_reject(items, "presync");
        skipping_ = presync_ = false;
        return end + 1;
    }

private:
    std::shared_ptr<const Description> description_;
    Unit unit_;
    bool skipping_, presync_;
};

class DescribedRegisters final : public Decoder {
public:
    DescribedRegisters(std::shared_ptr<const Description> description, Unit unit, int slave)
        : description_(std::move(description)), unit_(unit),
          answers_(slave, static_cast<std::size_t>(description_->registers->registers) * 2) {}

    std::unique_ptr<Decoder> clone() const override { return std::make_unique<DescribedRegisters>(*this); }
    void sent(std::string_view bytes, std::size_t unread) override { answers_.sent(bytes, unread); }

    std::size_t take(std::string_view head, bool, Items& items) override {
        std::optional<std::string_view> data;
        const std::size_t done = answers_.take(head, items, data);
        if (!data) return done;
        if (data->size() == static_cast<std::size_t>(description_->registers->registers) * 2)
            read_registers(*description_->registers, unit_, *data, items);
        else add_info(items, "registers", "");  // somebody asked for others
        return done;
    }

private:
    std::shared_ptr<const Description> description_;
    Unit unit_;
    modbus::Answers answers_;
};

std::string request_of(const Settings& settings) {
    const auto description = description_of(settings);
    if (!description->registers) return description->poll;
    const RegisterMap& map = *description->registers;
    return modbus::read_request(slave_of(*description, settings), map.function, map.address, map.registers);
}

}  // namespace

const Format format_described = {
    .id = "described",
    .title = "an instrument described in a TOML file (ASCII lines or Modbus registers)",
    .measures = Quantity::none,
    .line = {},
    .longest_frame = longest_frame,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "",
    .poll_every_s = 0.1,
    .settings = {"instrument", "file", "description", "unit", "slave"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        auto description = description_of(settings);
        const Unit unit = unit_of(*description, settings);
        if (description->registers) {
            const int slave = slave_of(*description, settings);
            return std::make_unique<DescribedRegisters>(std::move(description), unit, slave);
        }
        if (description->lines->end) return std::make_unique<DescribedFrames>(std::move(description), unit, start);
        return std::make_unique<DescribedLines>(std::move(description), unit, start);
    },
    .request = request_of,
    .as_set = [](const Settings& settings) {
        const auto description = description_of(settings);
        Format format = format_described;
        format.measures = description->measures;
        format.line = description->line;
        format.silence_s = description->silence_s;
        format.lag_s = description->lag_s;
        format.poll_every_s = description->poll_every_s;
        return format;
    },
    .freeze = [](const Settings& settings) {
        Settings frozen = settings;
        const Options options(format_described, settings);
        if (const auto file = options.text("file"); file && !options.text("description")) {
            frozen["description"] = whole_file(std::string(*file));
            frozen.erase("file");
        } else if (const auto name = options.text("instrument"); name && !options.text("description")) {
            if (const auto found = shipped_descriptions().find(*name); found != shipped_descriptions().end()) {
                frozen["description"] = std::string(found->second);
                frozen.erase("instrument");
            }
        }
        return frozen;
    },
};

}  // namespace halfturn
