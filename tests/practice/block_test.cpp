// The blocked pull: the hand brings the force where it is told, and nothing ever lets go.
#include <catch2/catch.hpp>

#include <cstdlib>
#include <string>

#include "practice/bench.hpp"

using namespace halfturn::practice;

namespace {

// What two force instruments and the caliper said last: "ST,GS,+01500.0  N", "12.34 mm".
struct Displays : Listener {
    std::string heard[3];
    double value[3] = {};
    void bytes(std::size_t port, const Batch& batch) override {
        heard[port] += batch.bytes;
        for (std::size_t end; (end = heard[port].find('\n')) != std::string::npos; heard[port].erase(0, end + 1)) {
            const std::string line = heard[port].substr(0, end);
            const auto figures = line.find_first_of("+-0123456789");
            if (figures != std::string::npos) value[port] = std::strtod(line.c_str() + figures, nullptr);
        }
    }
    void state(std::size_t, double, halfturn::PortState) override {}
};

}  // namespace

TEST_CASE("the hand brings a blocked pull to a force and holds there, up and down") {
    Bench bench(make_scenario(blocked_pull(), 3, {}), {read_port_wish("force=hdr-comma:force"), read_port_wish("reference=hdr-comma:force"), read_port_wish("caliper=value-unit:screw-travel")});
    Displays shown;
    double at_s = 0;
    for (const double target_N : {2000.0, 4500.0, 2000.0, 600.0, 0.0}) {
        bench.bring_to(target_N);
        bench.advance(at_s += 25, shown);
        INFO(target_N);
        CHECK(shown.value[0] == Approx(target_N).margin(0.04 * target_N + 20));   // the stack gives after, and comes back
        CHECK(shown.value[1] == Approx(shown.value[0]).margin(15));   // both in one stack
        if (target_N == 4500) CHECK(shown.value[2] > 0.2);            // a stack of some 20 kN/mm, and its slack
    }
    CHECK_FALSE(bench.truth().release);
    CHECK(find_scenario("block").name == "block");
    for (const auto& kind : scenario_kinds()) CHECK(kind.name != "block");   // no job to practise
}
