#include "record/bench.hpp"

#include <sqlite3.h>
#include <unistd.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <limits>
#include <thread>

#include "record/reader.hpp"
#include "record/verify.hpp"

using namespace std::chrono_literals;

namespace halfturn::test {

using namespace record;

Folder::Folder() {
    static std::atomic<int> count{0};
    const std::filesystem::path memory = "/dev/shm";
    const auto base = std::filesystem::exists(memory) ? memory : std::filesystem::temp_directory_path();
    path_ = base / ("halfturn-test-" + std::to_string(::getpid()) + "-" + std::to_string(++count));
    std::filesystem::create_directory(path_);
}

Folder::~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
}

SetUp sample_set_up() {
    SetUp set_up;
    set_up.work = Work::in;
    set_up.access = Access::past_spacer;
    set_up.rig = "bench “two”";
    PortSetUp force;
    force.name = "force";
    force.device = "/dev/serial/by-id/usb-x\\y\"z";
    force.format = "hdr-comma";
    force.settings = {{"unit", "kgf"}, {"decimal", "comma"}};
    force.line = {19200, 7, Parity::even, 2, false, true};
    force.silence_s = 0.1;
    force.lag_s = 1.0 / 3.0;
    force.marked = true;
    force.start = Start::boundary;
    force.device_tick_s = 1e-6;
    PortSetUp travel;
    travel.name = "travel";
    travel.format = "value-unit";
    set_up.ports = {force, travel};
    ChannelSetUp pull;
    pull.index = "X";
    pull.sign = -1;
    pull.unit = Unit::kgf;
    pull.mass_as_force = true;
    pull.coefficients = {-0.0, 9.80665, 5e-324, 1.7976931348623157e308, 0.1 + 0.2, 0x1.fffffffffffffp-1};
    pull.calibration = "cert-1";
    pull.capacity = 5000;
    pull.readings_per_s = 80;
    pull.least_count = 0.5;
    ChannelSetUp screw;
    screw.port = 1;
    screw.measures = Measure::screw_travel;
    screw.counts_per_turn = 600;
    set_up.channels = {pull, screw};
    set_up.pitch_mm = 1.25;
    set_up.stiffness_N_per_mm = {12345.678901234567, 2e4, 3e4};
    set_up.stiffness_measured = true;
    set_up.force_limit_N = std::numeric_limits<double>::infinity();
    set_up.lead_s = 0.65;
    set_up.fastest_turns_per_s = 0.1;
    set_up.break_loose_N = {150.1, 800.2, 2300.3};
    set_up.sliding_N = {100, 500, 1500};
    set_up.curve = {{0, 0, 0, 0}, {0.1, 1.0 / 7, 2.0 / 7, 3.0 / 7}};
    set_up.grip_fall = {{0, 1}, {3.5, 0.3}};
    set_up.seat_length_mm = 7;
    set_up.half_turn = 0.48;
    set_up.item = "wheel 7; DROP TABLE jobs --";
    set_up.seat = "left 'inner'";
    set_up.set = "overhaul";
    set_up.who = "Zoë";
    set_up.designation = "61902";
    set_up.job_text = "work = \"out\"\n# tab\there \x01 end";
    set_up.rig_text = "name = \"x\"\r\n";
    set_up.expectation_json = "{\"a\":[1,2]}";
    set_up.marks = {"rig has no valid certificate", ""};
    set_up.practice = true;
    return set_up;
}

Event sample_event(std::uint64_t seq) {
    Event event{seq, static_cast<Instant>(seq) * 5'000'000 + static_cast<Instant>(seq % 7), Tick{}};
    if (seq % 20 == 0) return event;
    if (seq % 97 == 0) event.what = OperatorDid{static_cast<Act>(seq % 8), "note \xE2\x80\x9Cquoted\xE2\x80\x9D"};
    else if (seq % 89 == 0) event.what = PortChanged{1, static_cast<PortState>(seq % 3), "unplugged"};
    else if (seq % 83 == 0) event.what = RecorderState{static_cast<Recording>(seq % 3), "late"};
    else if (seq % 79 == 0) event.what = Suspended{static_cast<Instant>(seq) * 1'000'000'007};
    else if (seq % 11 == 0) event.what = BytesSent{0, "?\r"};
    else {
        std::string bytes;
        for (std::uint64_t i = 0; i < seq % 23; ++i) bytes += static_cast<char>((seq * 31 + i * 7) & 0xFF);
        event.what = BytesArrived{static_cast<std::uint16_t>(seq % 2), bytes};
    }
    return event;
}

std::string bytes_of(const Event& event) {
    std::string bytes;
    append_event_bytes(event, bytes);
    return bytes;
}

std::string bytes_of(const std::vector<Event>& events) {
    std::string bytes;
    for (const Event& event : events) append_event_bytes(event, bytes);
    return bytes;
}

std::string sql(const std::string& path, const std::string& text) {
    sqlite3* db = nullptr;
    std::string said;
    if (sqlite3_open_v2(path.c_str(), &db, SQLITE_OPEN_READWRITE, nullptr) != SQLITE_OK ||
        sqlite3_busy_timeout(db, 5000) != SQLITE_OK || sqlite3_exec(db, text.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK)
        said = sqlite3_errmsg(db);
    sqlite3_close_v2(db);
    return said;
}

std::string read_all(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void write_all(const std::string& path, const std::string& bytes) {
    std::ofstream file(path, std::ios::binary | std::ios::trunc);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

record::RecorderOptions quick() {
    record::RecorderOptions options;
    options.commit_every = 1ms;
    options.retry_every = 2ms;
    return options;
}

bool soon(const std::function<bool()>& true_then) {
    for (int i = 0; i < 5000; ++i) {
        if (true_then()) return true;
        std::this_thread::sleep_for(1ms);
    }
    return false;
}

void check_whole(const std::string& path, std::int64_t job, std::uint64_t count) {
    Store store = Store::open(path, Mode::write);
    std::string wanted;
    for (std::uint64_t seq = 1; seq <= count; ++seq) append_event_bytes(sample_event(seq), wanted);
    REQUIRE(bytes_of(read_events(store, job)) == wanted);
    REQUIRE(find_job(store, std::to_string(job)).state == JobState::ended);
    const Verification verified = verify(store);
    REQUIRE(verified.findings.empty());
}

}  // namespace halfturn::test
