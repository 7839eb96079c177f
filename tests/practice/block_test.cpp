// The blocked pull: the hand brings the force where it is told, and nothing ever lets go.
#include <catch2/catch.hpp>

#include <cmath>
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
    Bench bench(make_scenario(blocked_pull(), 3, {}),
                {read_port_wish("force=hdr-comma:force"), read_port_wish("reference=hdr-comma:force"),
                 read_port_wish("caliper=value-unit:screw-travel")});
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

TEST_CASE("a jerk brings the force there within a quarter of a second") {
    Bench bench(make_scenario(blocked_pull(), 3, {}), {read_port_wish("force=hdr-comma:force,noise=0")});
    Displays shown;
    bench.bring_to(1000);
    bench.advance(20, shown);
    const double before_N = shown.value[0];
    bench.jerk_to(2000);
    bench.advance(20.4, shown);
    CHECK(before_N == Approx(1000).margin(60));
    CHECK(shown.value[0] > 1900);
    bench.advance(26, shown);
    CHECK(shown.value[0] == Approx(2000).margin(120));   // it holds, and the stack relaxes
    CHECK(bench.truth().peak.force_N < 2100);
}

TEST_CASE("loads beside the axis move the rig's cell and not the reference") {
    Bench bench(make_scenario(blocked_pull(), 3, {}), {read_port_wish("force=hdr-comma:force,noise=0"),
                                                       read_port_wish("reference=hdr-comma:force,noise=0,feels_stray=0")});
    Displays shown;
    double at_s = 0;
    bench.bring_to(3000);
    bench.advance(at_s += 25, shown);
    const auto off = [&](const char* words) {
        REQUIRE(bench.disturb(words));
        bench.advance(at_s += 2, shown);
        return shown.value[0] - shown.value[1];
    };
    const double still = off("none");
    const double right = off("eccentric 12 0") - still, left = off("eccentric 12 180") - still,
                 up = off("eccentric 12 90") - still, down = off("eccentric 12 270") - still;
    // Opposite places swing by as much, about a shift that is the same all round.
    CHECK((right + left) / 2 == Approx((up + down) / 2).margin(1.5));
    const double swing = std::hypot(right - left, up - down) / 2;
    CHECK(swing > 3000 * 0.0004 * 12 - 1.5);
    CHECK(swing < 3000 * 0.0012 * 12 + 1.5);
    CHECK(off("side-load 200 30") - still == Approx(-(off("side-load 200 210") - still)).margin(1.5));
    CHECK(off("torsion 5") - still == Approx(-(off("torsion -5") - still)).margin(1.5));
    CHECK(off("none") == Approx(still).margin(1.5));
    for (const char* words : {"", "eccentric 12", "torsion", "side-load 5", "bend 5 5", "eccentric a 5"}) CHECK_FALSE(bench.disturb(words));
}
