#include "command/instruments.hpp"

#include <array>

#include "core/failure.hpp"
#include "core/utf8.hpp"
#include "drivers/shared/replay.hpp"
#include "ports/port_list.hpp"

namespace halfturn::command {

void add_set_option(CLI::App& command, std::vector<std::string>& set, const std::string& says) {
    using Words = std::vector<std::string>;
    command.add_option_function<Words>("--set", [&set](const Words& more) { set.insert(set.end(), more.begin(), more.end()); }, says)
        ->expected(1, 64)
        ->trigger_on_parse();
}

void add_port_options(CLI::App& command, PortChoice& choice) {
    command.add_option("--format", choice.format,
                       "Its wire format (`halfturn instruments formats` lists them); one that is asked is asked from now on");
    add_set_option(command, choice.set, "A setting of the format, as --set unit=mm; may be repeated");
    command.add_option("--baud", choice.baud, "Baud rate; else the format's, or the usual ones are tried")
        ->check(CLI::Range(50, 4'000'000));
    command.add_option("--bits", choice.bits, "Data bits, 7 or 8")->check(CLI::Range(7, 8));
    command.add_option("--parity", choice.parity, "none, even or odd")->check(CLI::IsMember({"none", "even", "odd"}));
    command.add_option("--stop", choice.stop, "Stop bits, 1 or 2")->check(CLI::Range(1, 2));
    command.add_option("--dtr", choice.dtr, "Modem line DTR high (true) or low (false); some adapters live on it");
    command.add_option("--rts", choice.rts, "Modem line RTS high (true) or low (false)");
}

Settings settings_from(const std::vector<std::string>& set) {
    Settings settings;
    for (const auto& pair : set) {
        const std::size_t equals = pair.find('=');
        if (equals == std::string::npos || equals == 0)
            throw BadInput("--set " + pair + " can't be used; give key=value, as --set unit=mm");
        settings[pair.substr(0, equals)] = pair.substr(equals + 1);
    }
    return settings;
}

PortSetUp port_from(const PortChoice& choice) {
    PortSetUp port;
    port.device = stable_name(choice.device);
    port.name = "port";
    port.marked = true;
    if (!choice.format.empty()) {
        const Format& listed = need_format(choice.format);
        port.settings = frozen(listed, settings_from(choice.set));
        listed.make(port.settings, Start::mid_line);
        const Format format = as_set(listed, port.settings);
        port.format = choice.format;
        port.line = format.line;
        port.silence_s = format.silence_s;
        port.lag_s = format.lag_s;
    } else if (!choice.set.empty()) {
        throw BadInput("--set goes with --format ID");
    }
    if (choice.baud) port.line.baud = *choice.baud;
    if (choice.bits) port.line.bits = *choice.bits;
    if (choice.stop) port.line.stop = *choice.stop;
    if (!choice.parity.empty())
        port.line.parity = choice.parity == "even" ? Parity::even : choice.parity == "odd" ? Parity::odd : Parity::none;
    if (choice.dtr) port.line.dtr = *choice.dtr;
    if (choice.rts) port.line.rts = *choice.rts;
    return port;
}

std::string line_text(const LineSettings& line) {
    return std::to_string(line.baud) + " baud, " + std::to_string(line.bits) +
           (line.parity == Parity::even ? "E" : line.parity == Parity::odd ? "O" : "N") + std::to_string(line.stop);
}

std::string option_text(const Settings& settings) {
    std::string out;
    for (const auto& [key, value] : settings) out += " --set " + key + "=" + value;
    return out;
}

std::string hex_text(std::string_view bytes) {
    constexpr std::string_view digits = "0123456789ABCDEF";
    std::string out;
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        if (!out.empty()) out += ' ';
        out += digits[byte >> 4];
        out += digits[byte & 15];
    }
    return out;
}

std::string printable_text(std::string_view bytes) {
    std::string out;
    for (const char c : bytes) out += c >= ' ' && c <= '~' ? std::string(1, c) : std::string("·");
    return out;
}

std::string item_text(const Item& item) {
    if (const auto* reading = std::get_if<Reading>(&item)) {
        std::string out = to_text(reading->value) + " ";
        out += reading->unit == Unit::none ? "(no unit on the wire)" : unit_name(reading->unit);
        if (!reading->channel.view().empty()) out += "  channel " + std::string(reading->channel.view());
        if (reading->stable) out += *reading->stable ? "  stable" : "  moving";
        if (reading->kind != Kind::none) out += "  " + std::string(kind_name(reading->kind));
        return out;
    }
    if (const auto* fault = std::get_if<Fault>(&item))
        return "fault: " + std::string(fault_name(fault->code)) + (fault->detail.empty() ? "" : " (" + shown(fault->detail) + ")");
    if (const auto* reject = std::get_if<Reject>(&item)) return "refused: " + std::string(reject->reason);
    const auto& info = std::get<Info>(item);
    return "says: " + std::string(info.what) + (info.text.empty() ? "" : " (" + shown(info.text) + ")");
}

}  // namespace halfturn::command
