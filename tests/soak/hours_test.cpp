// Hours of work: every instrument at its full rate, a fault every minute. Memory stays where it was, no frame is lost, every
// fault is answered. Run with `test_soak "[soak]"` or tools/check --long; HALFTURN_SOAK_HOURS and HALFTURN_SOAK_MINUTES
// make them shorter.
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <thread>

#include "core/number_text.hpp"
#include "live/live_job.hpp"
#include "practice/pty.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/sample_store.hpp"
#include "record/verify.hpp"
#include "run_halfturn.hpp"

using namespace halfturn;
using namespace std::chrono_literals;

namespace {

constexpr Instant ms = 1'000'000, second = nanoseconds_per_second;

struct Instrument {
    const char* name;
    Measure measures;
    const char* format;
    Unit unit;
    double rate_per_s;
    int decimals;
};
constexpr Instrument instruments[] = {
    {"force", Measure::force, "bare-value", Unit::N, 1000, 1},
    {"caliper", Measure::screw_travel, "bare-value", Unit::mm, 10, 2},
    {"gauge", Measure::ring_travel, "bare-value", Unit::mm, 50, 3},
    {"counter", Measure::turns, "counts-csv", Unit::counts, 100, 0},
};
constexpr std::size_t count = std::size(instruments);

SetUp whole_bench() {
    SetUp set_up;
    set_up.rig = "soak";
    set_up.pitch_mm = 1.25;
    for (const Instrument& instrument : instruments) {
        PortSetUp port;
        port.name = instrument.name;
        port.format = instrument.format;
        port.settings = {{"unit", std::string(unit_name(instrument.unit))}};
        port.start = Start::boundary;
        port.silence_s = 0.5;
        ChannelSetUp channel;
        channel.port = static_cast<std::uint16_t>(set_up.ports.size());
        channel.measures = instrument.measures;
        channel.unit = instrument.unit;
        channel.capacity = instrument.measures == Measure::force ? 5000 : 0;
        channel.counts_per_turn = instrument.measures == Measure::turns ? 600 : 0;
        channel.readings_per_s = instrument.rate_per_s;
        set_up.ports.push_back(port);
        set_up.channels.push_back(channel);
    }
    return set_up;
}

std::string frame(const Instrument& instrument, double t_s, double noise) {
    switch (instrument.measures) {
        case Measure::force: return fixed_text(300 * std::sin(t_s / 40) + noise, 1) + "\n";
        case Measure::turns: return std::to_string(static_cast<std::int64_t>(20 * t_s)) + "\r\n";
        default: return fixed_text(10 + 8 * std::sin(t_s / 600), instrument.decimals) + "\n";
    }
}

double resident_KiB() {
    std::ifstream status("/proc/self/statm");
    double size = 0, resident = 0;
    status >> size >> resident;
    return resident * static_cast<double>(::sysconf(_SC_PAGESIZE)) / 1024;
}

// What may befall an instrument for a second and a half; each must be seen: the number leaves the screen, the reading is put
// aside, or the bytes are refused.
enum class Mishap { silent, unplugged, rubbish, spike };
constexpr Mishap faults[] = {Mishap::silent, Mishap::unplugged, Mishap::rubbish, Mishap::spike};

struct Told {
    std::int64_t faults = 0, answered = 0;
    std::string unanswered;
};

}  // namespace

// Eight hours in virtual time: 33 million readings through judge, recorder and samples, 479 faults.
TEST_CASE("eight hours at full rate, a fault every minute", "[.long][soak]") {
    const double hours = std::getenv("HALFTURN_SOAK_HOURS") ? *parse_number(std::getenv("HALFTURN_SOAK_HOURS")) : 8;
    const test::Bench bench;
    const std::string path = (bench.folder / "soak.db").string();
    const SetUp set_up = whole_bench();
    std::int64_t given[count] = {};  // whole frames: each must come back as a sample, or as a reading put aside
    Told told;
    double settled_KiB = 0, most_KiB = 0;
    std::uint64_t seq = 0;
    {
        record::Recorder recorder(path, set_up);
        Judge judge(set_up);
        std::size_t odd = 0, rejects = 0;
        judge.set_reading_sink([&](const DecodedReading& reading) {
            odd += reading.outcome == Gate::Outcome::spike;
            recorder.add_reading(reading);
        });
        const auto give = [&](Instant at, What what) {
            const Event event{++seq, at, std::move(what)};
            recorder.add(event);
            judge.on(event);
            for (const Judge::Heard& heard : judge.heard_now()) rejects += std::holds_alternative<Reject>(heard.item);
            if (seq % 2000 == 0) REQUIRE(recorder.wait_until_recorded(30s));
        };
        for (std::uint16_t i = 0; i < count; ++i) give(0, PortChanged{i, PortState::opened, ""});
        give(0, OperatorDid{Act::begin, ""});
        std::mt19937_64 random(1);
        std::normal_distribution<double> noise(0, 0.4);
        const auto last = static_cast<Instant>(hours * 3600) * second;
        Mishap fault{};
        std::uint16_t hit = 0;
        std::size_t odd_before = 0, rejects_before = 0;
        bool number_gone = false;
        for (Instant at = ms; at <= last; at += ms) {
            const auto minute = at / (60 * second);
            const Instant into = at % (60 * second);
            const bool faulty = minute > 0 && into < 1500 * ms;
            if (minute > 0 && into == 0) {
                fault = faults[static_cast<std::size_t>(minute) % std::size(faults)];
                hit = static_cast<std::uint16_t>(static_cast<std::size_t>(minute) / std::size(faults) % count);
                odd_before = odd, rejects_before = rejects, number_gone = false;
                if (fault == Mishap::unplugged) give(at, PortChanged{hit, PortState::lost, "unplugged"});
                if (fault == Mishap::rubbish) give(at, BytesArrived{hit, "\x80\xFFx!,,\n"});
                given[hit] += fault == Mishap::spike;
                if (fault == Mishap::spike)
                    give(at, BytesArrived{
                                 hit, std::string(instruments[hit].measures == Measure::turns ? "4000000\r\n" : "83886.07\n")});
            }
            for (std::uint16_t i = 0; i < count; ++i) {
                const auto every = static_cast<Instant>(1000 / instruments[i].rate_per_s) * ms;
                if (at % every != 0) continue;
                if (faulty && i == hit && (fault == Mishap::silent || fault == Mishap::unplugged)) continue;
                give(at, BytesArrived{i, frame(instruments[i], seconds(at), noise(random))});
                ++given[i];
            }
            if (at % (100 * ms) == 0) {
                give(at, Tick{});
                if (faulty) number_gone = number_gone || !judge.snapshot().channels[hit].value;
            }
            if (faulty && into == 1400 * ms) {
                ++told.faults;
                const bool answered = fault == Mishap::spike     ? odd > odd_before
                                      : fault == Mishap::rubbish ? rejects > rejects_before
                                                                 : number_gone;
                told.answered += answered;
                if (!answered)
                    told.unanswered += " minute " + std::to_string(minute) + " (" + std::to_string(static_cast<int>(fault)) +
                                       " on " + instruments[hit].name + ")";
                if (fault == Mishap::unplugged) give(at, PortChanged{hit, PortState::opened, ""});
            }
            if (minute >= 10 && into == 30 * second) {
                const double now_KiB = resident_KiB();
                if (settled_KiB == 0) settled_KiB = now_KiB;
                most_KiB = std::max(most_KiB, now_KiB);
            }
        }
        give(last, OperatorDid{Act::end, ""});
        REQUIRE(recorder.wait_until_recorded(30s));
        REQUIRE(recorder.finish("soaked", {}, 60s));
        CHECK_FALSE(recorder.take_change());
    }
    record::Store store = record::Store::open(path, record::Mode::read);
    const record::JobRow job = record::find_job(store, "1");
    CHECK(job.events == static_cast<std::int64_t>(seq));
    REQUIRE(record::has_samples(store, 1));
    record::JobSamples samples(store, job);
    std::int64_t lost = 0, all = 0, aside = 0;
    for (std::uint16_t i = 0; i < count; ++i) {
        const std::int64_t odd = store.database().number("SELECT count(*) FROM odd_readings WHERE channel = " + std::to_string(i));
        INFO(instruments[i].name);
        CHECK(samples.extent(i).samples + odd == given[i]);
        lost += given[i] - samples.extent(i).samples - odd;
        aside += odd;
        all += given[i];
    }
    INFO("not answered:" << told.unanswered);
    CHECK(told.answered == told.faults);
    CHECK(most_KiB - settled_KiB <= 1024);
    CHECK(record::verify(store).findings.empty());
    WARN(hours << " h: " << all << " frames, " << lost << " lost, " << aside << " put aside; " << told.answered << " of "
               << told.faults << " faults answered; memory grew by " << fixed_text(most_KiB - settled_KiB, 0)
               << " KiB after minute 10");
}

// Ten real minutes over pseudo-terminals: ports are opened, read, lost and found again by the program itself.
TEST_CASE("ten minutes over pseudo-terminals, a fault every minute", "[.long][soak]") {
    const double minutes = std::getenv("HALFTURN_SOAK_MINUTES") ? *parse_number(std::getenv("HALFTURN_SOAK_MINUTES")) : 10;
    const test::Bench bench;
    std::vector<practice::Pty> ptys;
    SetUp set_up = whole_bench();
    const auto link = [&](std::size_t i) {
        const auto name = bench.folder / instruments[i].name;
        std::filesystem::remove(name);
        std::filesystem::create_symlink(ptys[i].device(), name);
        return name.string();
    };
    for (std::size_t i = 0; i < count; ++i) {
        ptys.push_back(practice::Pty::create());
        set_up.ports[i].device = link(i);
    }
    live::Options options;
    options.store_path = (bench.folder / "live.db").string();
    live::LiveJob job(set_up, options);
    std::atomic<bool> over{false};
    std::atomic<std::int64_t> sent[count] = {};
    std::atomic<int> now_hit{-1};
    Told told;
    std::thread benchwork([&] {
        std::mt19937_64 random(2);
        std::normal_distribution<double> noise(0, 0.4);
        const auto start = std::chrono::steady_clock::now();
        std::int64_t given[count] = {};
        int fault_minute = 0;
        while (!over) {
            std::this_thread::sleep_for(5ms);
            const double t_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
            const int minute = static_cast<int>(t_s / 60);
            const std::size_t hit = static_cast<std::size_t>(minute / 2) % count;
            const bool faulty = minute > 0 && minute < minutes && t_s - 60 * minute < 1.5, unplug = minute % 2 == 0;
            if (faulty && minute != fault_minute) {
                fault_minute = minute;
                now_hit = static_cast<int>(hit);
                if (unplug) ptys[hit].close();
            }
            if (!faulty && now_hit >= 0 && t_s - 60 * minute > 1.6) {
                now_hit = -1;
                if (unplug) {
                    ptys[hit] = practice::Pty::create();
                    link(hit);
                }
            }
            for (std::size_t i = 0; i < count; ++i) {
                const auto due = static_cast<std::int64_t>(t_s * instruments[i].rate_per_s);
                std::string text;
                for (; given[i] < due; ++given[i]) {
                    if (now_hit == static_cast<int>(i)) continue;
                    text += frame(instruments[i], static_cast<double>(given[i]) / instruments[i].rate_per_s, noise(random));
                    // What is said while nobody listens is nobody's loss.
                    sent[i] += ptys[i].has_reader();
                }
                if (!text.empty()) ptys[i].write(text);
            }
        }
    });
    double settled_KiB = 0, most_KiB = 0;
    const auto start = std::chrono::steady_clock::now();
    int last_hit = -1;
    bool gone = false, ending = false;
    job.on_change = [&] {
        if (job.stage() == live::Stage::ready) job.begin();
        const double t_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
        const int hit = now_hit;
        if (hit >= 0) {
            if (last_hit < 0) ++told.faults, gone = false;
            if (!gone && !job.judge().snapshot().channels[static_cast<std::size_t>(hit)].value) ++told.answered, gone = true;
        }
        last_hit = hit;
        if (t_s > 120) {
            const double now_KiB = resident_KiB();
            if (settled_KiB == 0) settled_KiB = now_KiB;
            most_KiB = std::max(most_KiB, now_KiB);
        }
        if (t_s > 60 * minutes && !ending) {
            ending = true;  // ending it is a change too
            job.end("the soak is over");
        }
    };
    job.run();
    over = true;
    benchwork.join();
    REQUIRE(job.recorded());
    record::Store store = record::Store::open(options.store_path, record::Mode::read);
    record::JobSamples samples(store, record::find_job(store, "1"));
    std::int64_t all = 0, got = 0;
    for (std::uint16_t i = 0; i < count; ++i) {
        all += sent[i];
        got += samples.extent(i).samples +
               store.database().number("SELECT count(*) FROM odd_readings WHERE channel = " + std::to_string(i));
    }
    CHECK(told.answered == told.faults);
    CHECK(told.faults == static_cast<std::int64_t>(std::ceil(minutes)) - 1);
    CHECK(most_KiB - settled_KiB <= 1024);
    CHECK(record::verify(store).findings.empty());
    WARN(minutes << " min: " << all << " frames sent to an open port, " << got << " came back; " << told.answered << " of " << told.faults
                 << " faults answered; memory grew by " << fixed_text(most_KiB - settled_KiB, 0) << " KiB after minute 2");
    // A port that hangs up loses what was not read; at most the last few milliseconds of each of the unplugs, and of the end.
    CHECK(all - got <= 100 * (static_cast<std::int64_t>(minutes) / 2 + 1));
}
