// What a gate lets through: only values that follow the thing measured now.
#include <catch2/catch.hpp>

#include "watch/gate.hpp"

using namespace halfturn;

namespace {

Reading reading(std::int64_t newtons, Kind kind) {
    Reading r;
    r.value = normalised(newtons, 0);
    r.unit = Unit::N;
    r.kind = kind;
    return r;
}

Gate force_gate() {
    ChannelSetUp channel;
    channel.unit = Unit::N;
    return Gate(channel, PortSetUp{}, 5000);
}

}  // namespace

TEST_CASE("a stored tare, peak, least or range is never a force") {
    for (const Kind kind : {Kind::tare, Kind::peak, Kind::minimum, Kind::range}) {
        Gate gate = force_gate();
        REQUIRE(gate.take(reading(100, Kind::none), 1) == Gate::Outcome::accepted);
        CHECK(gate.take(reading(250, kind), 2) == Gate::Outcome::not_live);
        CHECK_FALSE(gate.known());
        CHECK(gate.take(reading(105, Kind::none), 3) == Gate::Outcome::accepted);
        CHECK(gate.value() == 105);
    }
}

TEST_CASE("live, gross and net are forces") {
    for (const Kind kind : {Kind::none, Kind::live, Kind::gross, Kind::net}) {
        Gate gate = force_gate();
        gate.begin();
        CHECK(gate.take(reading(100, kind), 1) == Gate::Outcome::accepted);
        CHECK(gate.take(reading(110, kind), 2) == Gate::Outcome::accepted);
    }
}

TEST_CASE("gross may become net before the job begins, not after") {
    Gate gate = force_gate();
    REQUIRE(gate.take(reading(30, Kind::gross), 1) == Gate::Outcome::accepted);
    CHECK(gate.take(reading(0, Kind::net), 2) == Gate::Outcome::accepted);
    gate.begin();
    CHECK(gate.take(reading(30, Kind::gross), 3) == Gate::Outcome::not_live);
    CHECK_FALSE(gate.known());
    CHECK(gate.take(reading(1, Kind::net), 4) == Gate::Outcome::accepted);
}
