// One byte lost, added or changed on the wire of a job that calls for a stop must never make it look like a good one.
#include <catch2/catch.hpp>

#include <random>

#include "curve/frozen_set_up.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "ports/log_port.hpp"
#include "practice/support.hpp"
#include "run_halfturn.hpp"
#include "watch/judge.hpp"

using namespace halfturn;

namespace {

SetUp example_set_up() {
    const test::Bench bench;
    return curve::freeze(read_job_text(bench.run("example job").out, "job"), read_rig_text(bench.run("example rig").out, "rig"), 1).set_up;
}

Call judged(const SetUp& set_up, const std::vector<Event>& events) {
    Judge judge(set_up);
    for (const Event& event : events) judge.on(event);
    return judge.judgement().call;
}

enum class Damage { lose, add, change };

// Which byte of all that arrived, counted through the events.
std::vector<Event> damaged(std::vector<Event> events, std::size_t byte, Damage damage, char with) {
    for (Event& event : events) {
        auto* arrived = std::get_if<BytesArrived>(&event.what);
        if (!arrived) continue;
        if (byte >= arrived->bytes.size()) {
            byte -= arrived->bytes.size();
            continue;
        }
        if (damage == Damage::lose) arrived->bytes.erase(byte, 1);
        if (damage == Damage::add) arrived->bytes.insert(byte, 1, with);
        if (damage == Damage::change) arrived->bytes[byte] = with;
        break;
    }
    return events;
}

std::size_t bytes_in(const std::vector<Event>& events) {
    std::size_t count = 0;
    for (const Event& event : events)
        if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) count += arrived->bytes.size();
    return count;
}

void damage_often(int times) {
    const SetUp set_up = example_set_up();
    std::mt19937 random(20);
    // Digits, marks, ends and signs do the most harm; any other byte may come too.
    const std::string likely = "0123456789+-.,; \r\nNXkgm";
    for (const char* scenario : {"bonded", "seized", "tilting"}) {
        const auto events = events_from_json_lines(practice::run_job(scenario, 1).log, set_up, scenario);
        const Call whole = judged(set_up, events);
        CAPTURE(scenario);
        CHECK(whole != Call::nothing_unusual);
        const std::size_t bytes = bytes_in(events);
        REQUIRE(bytes > 1000);
        for (int i = 0; i < times; ++i) {
            const std::size_t byte = random() % bytes;
            const auto damage = static_cast<Damage>(random() % 3);
            const char with = random() % 4 ? likely[random() % likely.size()] : static_cast<char>(random() % 256);
            CAPTURE(byte, static_cast<int>(damage), static_cast<int>(with));
            CHECK(judged(set_up, damaged(events, byte, damage, with)) != Call::nothing_unusual);
        }
    }
}

}  // namespace

TEST_CASE("one wrong byte never turns a stop into nothing unusual", "[P3]") { damage_often(150); }

TEST_CASE("one wrong byte never turns a stop into nothing unusual, long", "[.long]") { damage_often(5000); }

TEST_CASE("the same events give the same bits", "[P1]") {
    const SetUp set_up = example_set_up();
    for (const char* scenario : {"clean", "bonded", "unplugged"}) {
        const auto events = events_from_json_lines(practice::run_job(scenario, 3).log, set_up, scenario);
        Judge once(set_up), again(set_up);
        for (const Event& event : events) once.on(event);
        for (const Event& event : events) again.on(event);
        CAPTURE(scenario);
        CHECK(once.judgement().fingerprint == again.judgement().fingerprint);
        // Another force byte is another job: the fingerprint must see it.
        Judge other(set_up);
        for (const Event& event : damaged(events, bytes_in(events) / 2, Damage::change, '7')) other.on(event);
        if (judged(set_up, events) == Call::nothing_unusual) CHECK(other.judgement().fingerprint != once.judgement().fingerprint);
    }
}
