// The verdict does not depend on how a port's bytes were cut into reads of the same moment.
#include <catch2/catch.hpp>
#include <random>

#include "practice_jobs/judged_job.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

std::vector<Event> cut(const std::vector<Event>& events, unsigned seed, std::size_t longest) {
    std::mt19937 random(seed);
    std::vector<Event> pieces;
    for (const Event& event : events) {
        const auto* arrived = std::get_if<BytesArrived>(&event.what);
        std::size_t from = 0;
        while (arrived && arrived->bytes.size() - from > 1) {
            const std::size_t length = std::min(arrived->bytes.size() - from, 1 + random() % longest);
            pieces.push_back({pieces.size() + 1, event.at, BytesArrived{arrived->port, arrived->bytes.substr(from, length)}});
            from += length;
        }
        if (!arrived) pieces.push_back({pieces.size() + 1, event.at, event.what});
        else if (from < arrived->bytes.size())
            pieces.push_back({pieces.size() + 1, event.at, BytesArrived{arrived->port, arrived->bytes.substr(from)}});
    }
    return pieces;
}

}  // namespace

TEST_CASE("other cuts of the same bytes give the same bits", "[P1]") {
    SetUp set_up = example_set_up(Work::out);
    for (PortSetUp& port : set_up.ports) port.device.clear();  // a log: wire times are not taken off the reads' own
    for (const char* name : {"clean", "bonded", "spikes", "unplugged", "unit-key"})
        for (std::uint64_t seed = 1; seed <= 3; ++seed) {
            const auto events = events_from_json_lines(practise(name, seed).log, set_up, name);
            const Judgement whole = judged(events, set_up);
            INFO(name << ", seed " << seed << ": " << reasons(whole));
            CHECK(judged(cut(events, 1, 1), set_up).fingerprint == whole.fingerprint);
            CHECK(judged(cut(events, 2, 7), set_up).fingerprint == whole.fingerprint);
            CHECK(judged(events, set_up).fingerprint == whole.fingerprint);
        }
}
