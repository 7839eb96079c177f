// halfturn instruments: what is plugged in, under names that stay.
#include "command/command.hpp"
#include "command/instruments.hpp"
#include "core/json_writer.hpp"
#include "ports/port_list.hpp"

namespace halfturn::command {
namespace {

std::string text_of(const SerialPort& port) {
    std::string out = port.device + "\n";
    if (port.device != port.node) out += "  now " + port.node + (port.about.empty() ? "" : ", " + port.about) + "\n";
    else if (!port.about.empty()) out += "  " + port.about + "\n";
    if (port.held_by.empty()) out += "  nobody is seen to use it\n";
    for (const Holder& holder : port.held_by)
        out += "  in use by " + (holder.program.empty() ? "a program" : holder.program) + ", process " + std::to_string(holder.process) +
               "; close that first\n";
    out += port.may_open ? "  you may open it\n" : "  " + port.mend + "\n";
    for (const auto& remark : port.remarks) out += "  note: " + remark + "\n";
    return out;
}

}  // namespace

void list_instruments(bool json) {
    const auto ports = list_serial_ports();
    if (json) {
        JsonWriter out(2);
        out.object().key("ports").array();
        for (const SerialPort& port : ports) {
            out.object().put("device", port.device).put("named_by", named_by_name(port.by)).put("node", port.node).put("about", port.about);
            out.key("held_by").array();
            for (const Holder& holder : port.held_by) out.object().put("process", holder.process).put("program", holder.program).end();
            out.end().put("may_open", port.may_open).put("mend", port.mend).key("remarks").array();
            for (const auto& remark : port.remarks) out.text(remark);
            out.end().end();
        }
        return print(out.end().end().take() + "\n");
    }
    if (ports.empty())
        return print("No serial port is plugged in. An adapter that types its readings like a keyboard is none and can't be read here.\n");
    std::string text;
    for (const SerialPort& port : ports) text += (text.empty() ? "" : "\n") + text_of(port);
    print(text + "\n`halfturn instruments listen DEVICE` shows what an instrument says.\n");
}

}  // namespace halfturn::command
