#include "command/instrument_block.hpp"

#include "core/json_writer.hpp"
#include "core/number_text.hpp"

namespace halfturn::command {

std::string block_text(const InstrumentBlock& block) {
    std::string out;
    // JSON's escapes are TOML's too.
    const auto text = [&](std::string_view key, const std::string& value) {
        if (!value.empty()) out += std::string(key) + " = " + json_quoted(value) + "\n";
    };
    const auto number = [&](std::string_view key, double value) {
        if (value != 0) out += std::string(key) + " = " + number_text(value) + "\n";
    };
    const std::string name = block.name.empty() ? block.measures : block.name;
    const Format* listed = find_format(block.format);
    const LineSettings usual = listed ? as_set(*listed, block.settings).line : LineSettings{};
    out += "[[port]]\n";
    text("name", name);
    text("device", block.device);
    text("format", block.format);
    if (block.line.baud != usual.baud) number("baud", block.line.baud);
    if (block.line.bits != usual.bits) number("bits", block.line.bits);
    if (block.line.parity != usual.parity)
        text("parity", block.line.parity == Parity::none ? "none" : block.line.parity == Parity::even ? "even" : "odd");
    if (block.line.stop != usual.stop) number("stop", block.line.stop);
    if (block.line.dtr != usual.dtr) out += block.line.dtr ? "dtr = true\n" : "dtr = false\n";
    if (block.line.rts != usual.rts) out += block.line.rts ? "rts = true\n" : "rts = false\n";
    number("lag_s", block.lag_s);
    std::string options;
    for (const auto& [key, value] : block.settings) options += (options.empty() ? "" : ", ") + key + " = " + json_quoted(value);
    if (!options.empty()) out += "options = { " + options + " }\n";
    out += "\n[[channel]]\n";
    text("port", name);
    text("measures", block.measures);
    text("index", block.index);
    text("unit", block.unit);
    if (block.mass_as_force) out += "mass_as_force = true\n";
    if (block.sign != 1) number("sign", block.sign);
    number("counts_per_turn", block.counts_per_turn);
    if (!block.certificate.empty()) {
        text("calibration", block.certificate);
    } else if (!block.calibration.empty()) {
        out += "calibration = [";
        for (std::size_t i = 0; i < block.calibration.size(); ++i) out += (i ? ", " : "") + number_text(block.calibration[i]);
        out += "]\n";
    }
    number("capacity", block.capacity);
    number("readings_per_s", block.readings_per_s);
    number("least_count", block.least_count);
    return out;
}

}  // namespace halfturn::command
