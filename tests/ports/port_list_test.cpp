// The list of serial ports over a made-up system: stable names, twins without serial numbers, holders, rights.
#include <catch2/catch.hpp>

#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "ports/port_list.hpp"

using namespace halfturn;
namespace fs = std::filesystem;

namespace {

struct MadeUpSystem {
    fs::path root = fs::temp_directory_path() / ("halfturn_ports_" + std::to_string(::getpid()));
    SystemFolders folders{(root / "dev").string(), (root / "sys").string(), (root / "proc").string()};

    MadeUpSystem() {
        fs::remove_all(root);
        for (const char* folder : {"dev/serial/by-id", "dev/serial/by-path", "sys/class/tty", "proc"})
            fs::create_directories(root / folder);
        root = fs::canonical(root);
        folders = {(root / "dev").string(), (root / "sys").string(), (root / "proc").string()};
    }
    ~MadeUpSystem() { fs::remove_all(root); }

    void write(const std::string& path, const std::string& text) const {
        fs::create_directories((root / path).parent_path());
        std::ofstream(root / path) << text;
    }
    // A USB adapter; no serial number when it is empty.
    void adapter(const std::string& tty, const std::string& kind, const std::string& serial) const {
        const std::string usb = "sys/devices/usb/" + tty;
        write(usb + "/idVendor", kind + "\n");
        write(usb + "/idProduct", "0001\n");
        write(usb + "/manufacturer", "Workshop\n");
        write(usb + "/product", "Serial adapter\n");
        if (!serial.empty()) write(usb + "/serial", serial + "\n");
        write(usb + "/if0/" + tty + "/latency_timer", "16\n");
        fs::create_directories(root / "sys/class/tty" / tty);
        fs::create_symlink(root / (usb + "/if0/" + tty), root / "sys/class/tty" / tty / "device");
        write("dev/" + tty, "");
        fs::create_symlink("../../" + tty, root / "dev/serial/by-path" / ("socket-" + tty));
    }
    void named(const std::string& id, const std::string& tty) const { fs::create_symlink("../../" + tty, root / "dev/serial/by-id" / id); }
};

}  // namespace

TEST_CASE("ports have the most stable name there is") {
    const MadeUpSystem made;
    made.adapter("ttyUSB0", "1111", "A7");
    made.named("usb-A7", "ttyUSB0");
    made.adapter("ttyUSB1", "2222", "");  // one of its kind: its name by id is its own
    made.named("usb-one", "ttyUSB1");
    made.adapter("ttyUSB2", "3333", "");  // twins: the last one plugged in has the name by id
    made.adapter("ttyUSB3", "3333", "");
    made.named("usb-twin", "ttyUSB3");
    made.write("sys/class/tty/ttyS0/type", "4\n");
    made.write("dev/ttyS0", "");
    made.write("sys/class/tty/ttyS1/type", "0\n");  // nothing soldered to it
    made.write("dev/ttyS1", "");
    made.write("sys/class/tty/tty1/active", "");  // a console
    made.write("dev/tty1", "");
    const auto ports = list_serial_ports(made.folders);
    REQUIRE(ports.size() == 5);
    const auto find = [&](const std::string& tty) {
        for (const auto& port : ports)
            if (fs::path(port.node).filename() == tty) return port;
        FAIL(tty << " is missing");
        return SerialPort{};
    };
    CHECK(find("ttyUSB0").device == made.folders.dev + "/serial/by-id/usb-A7");
    CHECK(find("ttyUSB0").by == NamedBy::id);
    CHECK(find("ttyUSB0").about == "Workshop Serial adapter");
    CHECK(find("ttyUSB0").remarks.size() == 1);  // 16 ms
    CHECK(find("ttyUSB1").by == NamedBy::id);
    CHECK(find("ttyUSB2").device == made.folders.dev + "/serial/by-path/socket-ttyUSB2");
    CHECK(find("ttyUSB3").device == made.folders.dev + "/serial/by-path/socket-ttyUSB3");
    CHECK(find("ttyS0").by == NamedBy::plain);
    CHECK(stable_name(made.folders.dev + "/ttyUSB0", made.folders) == find("ttyUSB0").device);
    CHECK(stable_name(made.folders.dev + "/serial/by-path/socket-ttyUSB0", made.folders) == find("ttyUSB0").device);
    CHECK(stable_name("/no/such/port", made.folders) == "/no/such/port");
}

TEST_CASE("who holds a port is told, by open descriptors and by locks") {
    const MadeUpSystem made;
    made.adapter("ttyUSB0", "1111", "A7");
    made.write("proc/4711/comm", "terminal\n");
    fs::create_directories(made.root / "proc/4711/fd");
    fs::create_symlink(made.root / "dev/ttyUSB0", made.root / "proc/4711/fd/3");
    fs::create_symlink("/dev/null", made.root / "proc/4711/fd/0");
    auto ports = list_serial_ports(made.folders);
    REQUIRE(ports.size() == 1);
    REQUIRE(ports[0].held_by.size() == 1);
    CHECK(ports[0].held_by[0].process == 4711);
    CHECK(ports[0].held_by[0].program == "terminal");
}

TEST_CASE("rights: root, owner, group, everybody; and what helps") {
    const Rights usual{0660, 0, 20, "dialout"};
    CHECK(why_not_allowed("/dev/ttyUSB0", usual, {0, {}}).empty());
    CHECK(why_not_allowed("/dev/ttyUSB0", usual, {1000, {1000, 20}}).empty());
    CHECK(why_not_allowed("/dev/ttyUSB0", usual, {1000, {1000}}).find("usermod -aG dialout") != std::string::npos);
    CHECK(why_not_allowed("/dev/ttyUSB0", {0666, 0, 0, "root"}, {1000, {1000}}).empty());
    CHECK(why_not_allowed("/dev/ttyUSB0", {0600, 1000, 0, "root"}, {1000, {1000}}).empty());
    CHECK(why_not_allowed("/dev/ttyUSB0", {0600, 0, 0, "root"}, {1000, {1000}}).find("udev rule") != std::string::npos);
    // The owner's bits count for the owner, also when the group may more.
    CHECK_FALSE(why_not_allowed("/dev/ttyUSB0", {0460, 1000, 20, "dialout"}, {1000, {20}}).empty());
}
