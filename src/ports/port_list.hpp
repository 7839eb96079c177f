// The serial ports of this machine by names that stay the same, who holds each, and whether it may be opened. Looks at the
// folders of the system only: opening a port to find out would raise its modem lines and restart boards.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace halfturn {

enum class NamedBy : std::uint8_t {
    id,     // /dev/serial/by-id: the adapter's own serial number, wherever it is plugged in
    path,   // /dev/serial/by-path: the socket it is plugged into
    plain,  // /dev/ttyUSB0: may be another one after the next plugging
};
std::string_view named_by_name(NamedBy by);  // "id", "path", "plain"

struct Holder {
    std::int64_t process = 0;
    std::string program;  // empty: another user's, whose name can't be seen
};

struct SerialPort {
    std::string device;    // the most stable name, for the rig file
    std::string node;      // /dev/ttyUSB0
    NamedBy by = NamedBy::plain;
    std::string about;     // what the adapter says of itself, may be empty
    std::vector<Holder> held_by;
    bool may_open = true;
    std::string mend;      // why it may not be opened and what helps; empty when it may
    std::vector<std::string> remarks;  // a name two adapters share, bytes held back by the adapter
};

// Where to look; another root is for tests.
struct SystemFolders {
    std::string dev = "/dev", sys = "/sys", proc = "/proc", etc = "/etc";
};

// Sorted by device. Empty where there are none.
std::vector<SerialPort> list_serial_ports(const SystemFolders& folders = {});

// The most stable name of a port that may be given by any of its names; the name itself when it is none of those listed.
std::string stable_name(const std::string& device, const SystemFolders& folders = {});

// Whether a file of these rights may be read and written by this user (0: root), and if not, what helps. `group` is the
// name of the file's group.
struct Rights {
    unsigned mode = 0, owner = 0, owning_group = 0;
    std::string group;
};
struct User {
    unsigned id = 0;
    std::vector<unsigned> groups;
};
std::string why_not_allowed(const std::string& node, const Rights& rights, const User& user);

}  // namespace halfturn
