#include "files/rig_file.hpp"

#include <algorithm>
#include <utility>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "files/checked_table.hpp"
#include "files/screw_pitch.hpp"
#include "files/whole_file.hpp"

namespace halfturn {
namespace {

LineSettings read_line(const CheckedTable& port, const Format& format) {
    LineSettings line = format.line;
    if (const auto baud = port.integer_if("baud", 50, 4'000'000)) line.baud = static_cast<int>(*baud);
    if (const auto bits = port.integer_if("bits", 7, 8)) line.bits = static_cast<int>(*bits);
    if (const auto stop = port.integer_if("stop", 1, 2)) line.stop = static_cast<int>(*stop);
    if (const auto parity = port.choice_if("parity", {"none", "even", "odd"}))
        line.parity = *parity == "none" ? Parity::none : *parity == "even" ? Parity::even : Parity::odd;
    if (const auto dtr = port.boolean_if("dtr")) line.dtr = *dtr;
    if (const auto rts = port.boolean_if("rts")) line.rts = *rts;
    return line;
}

PortSetUp read_port(const CheckedTable& table) {
    PortSetUp port;
    port.device = table.text_if("device").value_or("");
    port.format = table.text("format");
    const Format* format = find_format(port.format);
    if (!format) {
        std::vector<std::string> ids;
        for (const Format* f : all_formats()) ids.emplace_back(f->id);
        const std::string near = nearest_word(port.format, ids);
        std::string list;
        for (const auto& id : ids) list += (list.empty() ? "" : ", ") + id;
        throw table.error("format", "\"" + port.format + "\" is not a format that is known" +
                                        (near.empty() ? "; known are " + list : "; did you mean \"" + near + "\"?"));
    }
    const CheckedTable options = table.table("options");
    for (const auto& key : options.keys()) port.settings[key] = options.scalar_as_text(key);
    const Format as_used = [&] {
        try {
            port.settings = frozen(*format, port.settings);
            format->make(port.settings, Start::mid_line);
            return as_set(*format, port.settings);
        } catch (const BadInput& error) {
            throw table.error("options", std::string("can't be used: ") + error.what());
        }
    }();
    port.name = table.text_if("name").value_or("");
    port.line = read_line(table, as_used);
    port.silence_s = table.number_if("silence_s", 0, 3600).value_or(as_used.silence_s);
    port.lag_s = table.number_if("lag_s", 0, 10).value_or(as_used.lag_s);
    port.marked = !port.device.empty();
    return port;
}

std::vector<double> read_calibration(const CheckedTable& table, std::string& id) {
    if (!table.has("calibration")) return {};
    const auto inline_values = [&]() -> std::vector<double> {
        try {
            return table.numbers_if("calibration");
        } catch (const BadInput&) {
            id = table.text("calibration");
            return {};
        }
    }();
    if (!id.empty()) return {};
    if (inline_values.size() < 2 || inline_values.size() > 4)
        throw table.error("calibration", "must be a list of 2 to 4 numbers, c0 + c1 x + c2 x^2 + c3 x^3, or the id of a certificate");
    return inline_values;
}

ChannelSetUp read_channel(const CheckedTable& table, const std::vector<PortSetUp>& ports) {
    ChannelSetUp channel;
    const auto port_name = table.text("port");
    const auto found = std::find_if(ports.begin(), ports.end(), [&](const PortSetUp& p) { return p.name == port_name; });
    if (found == ports.end()) {
        std::vector<std::string> names;
        for (const auto& p : ports) names.push_back(p.name);
        const std::string near = nearest_word(port_name, names);
        throw table.error("port", "\"" + port_name + "\" names no [[port]] of this file" +
                                      (near.empty() ? "; give one of them a name = \"" + port_name + "\""
                                                    : "; did you mean \"" + near + "\"?"));
    }
    channel.port = static_cast<std::uint16_t>(found - ports.begin());
    channel.measures = *measure_from_name(table.choice("measures", {"force", "screw-travel", "ring-travel", "turns"}));
    channel.index = table.text_if("index").value_or("");
    if (channel.index.size() > 8) throw table.error("index", "must be at most 8 characters");
    if (const auto sign = table.number_if("sign", -1, 1)) {
        if (*sign != 1 && *sign != -1) throw table.error("sign", "must be 1 or -1");
        channel.sign = *sign;
    }
    if (const auto unit = table.text_if("unit")) {
        const auto known = unit_from_name(*unit);
        if (!known)
            throw table.error(
                "unit",
                "\"" + *unit + "\" is not a unit that is known; use mm, in, um, N, kN, kgf, gf, lbf, ozf, kg, g, lb or counts");
        channel.unit = *known;
    }
    channel.mass_as_force = table.boolean_if("mass_as_force").value_or(false);
    channel.counts_per_turn = table.number_if("counts_per_turn", 0.01, 1e7).value_or(0);
    channel.coefficients = read_calibration(table, channel.calibration);
    channel.capacity = table.number_if("capacity", 0, 1e7).value_or(0);
    channel.readings_per_s = table.number_if("readings_per_s", 0.1, 100'000).value_or(0);
    channel.least_count = table.number_if("least_count", 0, 1000).value_or(0);
    channel.eccentric_load_known = table.boolean_if("eccentric_load_calibrated").value_or(false);
    channel.eccentric_calibration = table.text_if("eccentric_calibration").value_or("");
    if (!channel.eccentric_calibration.empty() && table.has("eccentric_load_calibrated"))
        throw table.error("eccentric_calibration", "names a certificate, so leave eccentric_load_calibrated out");
    if (!channel.eccentric_calibration.empty() && channel.measures != Measure::force)
        throw table.error("eccentric_calibration", "belongs to the channel that measures force");
    if (channel.measures == Measure::turns && channel.counts_per_turn == 0)
        throw table.error("counts_per_turn", "is missing; a turn counter needs it (how many counts make one turn of the screw)");
    if (channel.measures == Measure::force && channel.unit == Unit::counts && channel.coefficients.empty() && channel.calibration.empty())
        throw table.error("calibration",
                          "is missing; a bridge board sends counts, so give calibration = [c0, c1] in N and N per count "
                          "(`halfturn calibrate line` finds them)");
    return channel;
}

RigFile read_rig(const CheckedTable& table) {
    RigFile rig;
    rig.name = table.text("name");
    const CheckedTable screw = table.table("screw");
    rig.screw.thread = screw.text_if("thread").value_or("");
    if (rig.screw.thread == "unknown") rig.screw.thread.clear();
    rig.screw.pitch_mm = screw.number_or_unknown("pitch_mm", 0.1, 20);
    rig.screw.property_class = screw.choice_if("class", {"4.8", "5.8", "8.8", "10.9", "12.9", "unknown"}).value_or("");
    if (rig.screw.property_class == "unknown") rig.screw.property_class.clear();
    rig.screw.free_length_mm = screw.number_or_unknown("free_length_mm", 1, 2000);
    if (!rig.screw.thread.empty() && !rig.screw.pitch_mm && !pitch_of_thread(rig.screw.thread))
        throw screw.error("thread",
                          "\"" + rig.screw.thread +
                              "\" is not a metric thread such as \"M8\" or \"M10x1.25\"; for another screw give pitch_mm");
    const CheckedTable press = table.table("press");
    rig.press.stiffness_N_per_mm = press.number_or_unknown("stiffness_N_per_mm", 100, 1e6);
    rig.press.stiffness_u = press.number_or_unknown("stiffness_u", 0, 1e6);
    rig.press.force_limit_N = press.number_or_unknown("force_limit_N", 1, 1e7);
    rig.press.lead_s = press.number_if("lead_s", 0, 5).value_or(0.7);
    for (const auto& port : table.tables("port")) {
        PortSetUp read = read_port(port);
        if (read.name.empty()) read.name = "port" + std::to_string(rig.ports.size() + 1);
        for (const auto& other : rig.ports) {
            if (other.name == read.name) throw port.error("name", "\"" + read.name + "\" is used by another [[port]]; names must differ");
            if (!read.device.empty() && other.device == read.device)
                throw port.error("device", "\"" + read.device +
                                               "\" is used by another [[port]]; one port may carry several [[channel]]s instead");
        }
        rig.ports.push_back(std::move(read));
    }
    for (const auto& channel : table.tables("channel")) {
        const ChannelSetUp read = read_channel(channel, rig.ports);
        for (const auto& other : rig.channels)
            if (other.measures == read.measures)
                throw channel.error("measures", "\"" + std::string(measure_name(read.measures)) +
                                                    "\" is measured by another [[channel]]; each may be measured once");
        rig.channels.push_back(read);
    }
    if (!rig.ports.empty() && rig.channels.empty())
        throw table.error("channel", "is missing; add a [[channel]] that says what the instrument on the port measures");
    table.refuse_unknown_keys();
    return rig;
}

}  // namespace

RigFile read_rig_text(const std::string& text, const std::string& name_for_errors) {
    RigFile rig = read_rig(CheckedTable::from_text(text, name_for_errors));
    rig.file = name_for_errors;
    rig.text = text;
    return rig;
}

RigFile read_rig_file(const std::string& path) { return read_rig_text(whole_file(path), path); }

}  // namespace halfturn
