#include "ports/port_list.hpp"

#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>

#include "core/number_text.hpp"
#include "core/utf8.hpp"

namespace halfturn {
namespace {

namespace fs = std::filesystem;

constexpr double usual_latency_ms = 1;

// The first line of a small file of /sys or /proc, empty when it can't be read.
std::string first_line(const fs::path& path) {
    std::ifstream file(path);
    std::string line;
    std::getline(file, line);
    return as_utf8(line);
}

std::vector<fs::path> entries(const fs::path& folder) {
    std::vector<fs::path> out;
    std::error_code error;
    for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) out.push_back(it->path());
    std::sort(out.begin(), out.end());
    return out;
}

bool starts_with_any(const std::string& name, std::initializer_list<std::string_view> heads) {
    return std::any_of(heads.begin(), heads.end(), [&](std::string_view head) { return name.rfind(head, 0) == 0; });
}

// A port with hardware behind it. The kernel lists sockets on the board that nothing is soldered to as type 0.
bool is_port(const fs::path& tty) {
    const std::string name = tty.filename();
    if (starts_with_any(name, {"ttyUSB", "ttyACM", "ttyAMA", "rfcomm"})) return true;
    if (!starts_with_any(name, {"ttyS"})) return false;
    const std::string type = first_line(tty / "type");
    return !type.empty() && type != "0";
}

struct Adapter {
    std::string about, kind, serial;  // kind: vendor and product number, empty when it is no USB adapter
};

// The adapter is some folders above the port.
Adapter adapter_of(const fs::path& tty) {
    std::error_code error;
    fs::path folder = fs::canonical(tty / "device", error);
    for (int up = 0; !error && up < 6 && folder.has_relative_path(); ++up, folder = folder.parent_path()) {
        const std::string vendor = first_line(folder / "idVendor");
        if (vendor.empty()) continue;
        std::string about = first_line(folder / "manufacturer");
        const std::string product = first_line(folder / "product");
        if (!product.empty()) about += (about.empty() ? "" : " ") + product;
        return {about, vendor + ":" + first_line(folder / "idProduct"), first_line(folder / "serial")};
    }
    return {};
}

// What each name in a folder of links points to: node -> link.
std::map<std::string, std::string> links_in(const fs::path& folder) {
    std::map<std::string, std::string> links;
    for (const auto& link : entries(folder)) {
        std::error_code error;
        const fs::path node = fs::canonical(link, error);
        if (!error) links.emplace(node.string(), link.string());
    }
    return links;
}

std::int64_t process_of(const fs::path& folder) { return parse_integer(folder.filename().string()).value_or(0); }

// node -> processes that have it open, as far as this user may look, and those that hold a lock on it, whoever they are.
std::map<std::string, std::set<std::int64_t>> holders(const fs::path& proc, const std::set<std::string>& nodes) {
    std::map<std::string, std::set<std::int64_t>> out;
    for (const auto& process : entries(proc)) {
        if (process_of(process) == 0) continue;
        for (const auto& open : entries(process / "fd")) {
            std::error_code error;
            const std::string node = fs::read_symlink(open, error).string();
            if (!error && nodes.contains(node)) out[node].insert(process_of(process));
        }
    }
    std::map<std::string, std::string> by_inode;  // "00:18:5" as /proc/locks writes it
    for (const auto& node : nodes) {
        struct stat s {};
        if (::stat(node.c_str(), &s) != 0) continue;
        const auto two = [](unsigned n) {
            constexpr std::string_view digits = "0123456789abcdef";
            std::string text;
            for (; n > 0 || text.size() < 2; n /= 16) text.insert(text.begin(), digits[n % 16]);
            return text;
        };
        by_inode[two(major(s.st_dev)) + ":" + two(minor(s.st_dev)) + ":" + std::to_string(s.st_ino)] = node;
    }
    std::ifstream locks(proc / "locks");  // "1: FLOCK  ADVISORY  WRITE 1234 00:18:5 0 EOF"
    std::string number, kind, how, what, process, inode, rest;
    while (locks >> number >> kind >> how >> what >> process >> inode && std::getline(locks, rest)) {
        const auto node = by_inode.find(inode);
        const auto id = parse_integer(process);
        if (kind == "FLOCK" && node != by_inode.end() && id && *id > 0) out[node->second].insert(*id);
    }
    return out;
}

// From the local file (name:password:number:members): the groups that own serial ports are in it, and the C library's way to ask
// for others would load code while we run.
std::string group_name(const std::filesystem::path& etc, unsigned group) {
    std::ifstream groups(etc / "group");
    const std::string number = std::to_string(group);
    for (std::string line; std::getline(groups, line);) {
        const auto name_ends = line.find(':'), number_at = line.find(':', name_ends + 1);
        if (name_ends == std::string::npos || number_at == std::string::npos) continue;
        if (line.substr(number_at + 1, line.find(':', number_at + 1) - number_at - 1) == number) return line.substr(0, name_ends);
    }
    return number;
}

User this_user() {
    User user{::geteuid(), {::getegid()}};
    std::vector<gid_t> groups(static_cast<std::size_t>(std::max(0, ::getgroups(0, nullptr))));
    if (!groups.empty() && ::getgroups(static_cast<int>(groups.size()), groups.data()) > 0)
        user.groups.insert(user.groups.end(), groups.begin(), groups.end());
    return user;
}

}  // namespace

std::string_view named_by_name(NamedBy by) {
    return by == NamedBy::id ? "id" : by == NamedBy::path ? "path" : "plain";
}

std::string why_not_allowed(const std::string& node, const Rights& rights, const User& user) {
    if (user.id == 0) return {};
    const auto in = [&](unsigned group) { return std::find(user.groups.begin(), user.groups.end(), group) != user.groups.end(); };
    const unsigned bits = user.id == rights.owner ? rights.mode >> 6 : in(rights.owning_group) ? rights.mode >> 3 : rights.mode;
    if ((bits & 6) == 6) return {};
    if ((rights.mode >> 3 & 6) == 6 && rights.owning_group != 0)
        return "only the group " + rights.group + " may open it; join with `sudo usermod -aG " + rights.group +
               " $USER`, then log in again";
    return node + " is closed to every group; install the udev rule 70-halfturn.rules, then plug it in again";
}

std::vector<SerialPort> list_serial_ports(const SystemFolders& folders) {
    const auto by_id = links_in(folders.dev + "/serial/by-id"), by_path = links_in(folders.dev + "/serial/by-path");
    const User user = this_user();
    std::vector<SerialPort> ports;
    std::map<std::string, int> alike;  // adapters without a serial number, by kind
    std::vector<Adapter> adapters;
    std::set<std::string> nodes;
    for (const auto& tty : entries(folders.sys + "/class/tty")) {
        const std::string node = folders.dev + "/" + tty.filename().string();
        struct stat s {};
        if (!is_port(tty) || ::stat(node.c_str(), &s) != 0) continue;
        SerialPort port;
        port.node = node;
        adapters.push_back(adapter_of(tty));
        port.about = adapters.back().about;
        if (!adapters.back().kind.empty() && adapters.back().serial.empty()) ++alike[adapters.back().kind];
        port.mend = why_not_allowed(node, {s.st_mode, s.st_uid, s.st_gid, group_name(folders.etc, s.st_gid)}, user);
        port.may_open = port.mend.empty();
        if (const auto latency = parse_number(first_line(tty / "device" / "latency_timer")); latency && *latency > usual_latency_ms)
            port.remarks.push_back("the adapter holds bytes back for up to " + number_text(*latency) +
                                   " ms; the udev rule 70-halfturn.rules makes that 1 ms");
        nodes.insert(node);
        ports.push_back(std::move(port));
    }
    const auto held = holders(folders.proc, nodes);
    for (std::size_t i = 0; i < ports.size(); ++i) {
        SerialPort& port = ports[i];
        const auto id = by_id.find(port.node), path = by_path.find(port.node);
        // Two adapters of a kind without serial numbers share one name by id, and the one plugged in last has it.
        const bool shares = adapters[i].serial.empty() && alike[adapters[i].kind] > 1 && !adapters[i].kind.empty();
        port.by = id != by_id.end() && !shares ? NamedBy::id : path != by_path.end() ? NamedBy::path : NamedBy::plain;
        port.device = port.by == NamedBy::id ? id->second : port.by == NamedBy::path ? path->second : port.node;
        if (shares)
            port.remarks.push_back(
                "another adapter of its kind has no serial number either, so it is named by its socket: keep each in its own");
        else if (port.by == NamedBy::plain && !adapters[i].kind.empty())
            port.remarks.push_back("this name may go to another instrument at the next plugging; none that stays is known");
        if (const auto found = held.find(port.node); found != held.end())
            for (const std::int64_t process : found->second)
                port.held_by.push_back({process, first_line(fs::path(folders.proc) / std::to_string(process) / "comm")});
    }
    std::sort(ports.begin(), ports.end(), [](const SerialPort& a, const SerialPort& b) { return a.device < b.device; });
    return ports;
}

std::string stable_name(const std::string& device, const SystemFolders& folders) {
    std::error_code error;
    const std::string node = fs::canonical(device, error).string();
    if (error) return device;
    for (const SerialPort& port : list_serial_ports(folders))
        if (port.node == node) return port.device;
    return device;
}

}  // namespace halfturn
