// Other instruments on the same press: what the printed example rig has more of must not be what the judge lives on.
#include <algorithm>
#include <catch2/catch.hpp>

#include "practice_jobs/judged_job.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

const std::string press = R"(
name = "variant"
[screw]
thread = "M8"
class = "8.8"
free_length_mm = 120
[press]
stiffness_N_per_mm = 20000
stiffness_u = 2500
force_limit_N = 5000
)";
const std::string force = R"(
[[port]]
name = "force"
format = "hdr-comma"
baud = 38400
[[channel]]
port = "force"
measures = "force"
unit = "N"
capacity = 5000
readings_per_s = 80
)";
const std::string slow_force = R"(
[[port]]
name = "force"
format = "hdr-comma"
[[channel]]
port = "force"
measures = "force"
unit = "N"
capacity = 5000
readings_per_s = 10
)";
const std::string counts_force = R"(
[[port]]
name = "force"
format = "counts-csv"
options = { fields = "us,raw" }
[[channel]]
port = "force"
measures = "force"
unit = "counts"
calibration = [-421.065, 0.005]
capacity = 5000
readings_per_s = 80
)";
const std::string caliper = R"(
[[port]]
name = "caliper"
format = "value-unit"
[[channel]]
port = "caliper"
measures = "screw-travel"
unit = "mm"
least_count = 0.01
readings_per_s = 10
)";
const std::string sign_caliper = R"(
[[port]]
name = "caliper"
format = "sign-cr"
options = { unit = "mm" }
[[channel]]
port = "caliper"
measures = "screw-travel"
unit = "mm"
least_count = 0.01
readings_per_s = 10
)";
const std::string counter = R"(
[[port]]
name = "counter"
format = "axis-semi"
[[channel]]
port = "counter"
measures = "turns"
index = "X"
counts_per_turn = 1200
readings_per_s = 24
)";

struct Rig {
    std::string name, rig;
    std::vector<std::string> ports;
    double hand_turns_per_s;  // slow enough for its instruments
    bool sees_turns;
};

const std::vector<Rig>& rigs() {
    static const std::string f = "force=hdr-comma:force", c = "caliper=value-unit:screw-travel", n = "counter=axis-semi:turns";
    static const std::vector<Rig> all = {
        {"load cell of ten readings a second", press + slow_force + caliper + counter, {f + ",rate_hz=10", c, n}, 0.05, true},
        {"no counter", press + force + caliper, {f, c}, 0.1, true},
        {"only force", press + force, {f}, 0.1, false},
        {"caliper without a unit on the wire", press + force + sign_caliper, {f, "caliper=sign-cr:screw-travel"}, 0.1, true},
        {"bridge board that sends counts", press + counts_force + caliper + counter, {"force=counts-csv:force", c, n}, 0.1, true},
    };
    return all;
}

Judgement on_rig(const Rig& rig, std::string_view name, std::uint64_t seed) {
    practice::Wishes wishes;
    wishes.hand_turns_per_s = rig.hand_turns_per_s;
    return judged(practise(name, seed, rig.ports, {}, wishes), frozen(example("job"), rig.rig));
}

}  // namespace

TEST_CASE("ordinary jobs get no warning on other rigs") {
    for (const Rig& rig : rigs())
        for (std::uint64_t seed = 301; seed <= 312; ++seed) {
            const Judgement judgement = on_rig(rig, "clean", seed);
            INFO(rig.name << ", seed " << seed << ": " << reasons(judgement));
            CHECK(judgement.warnings.empty());
            CHECK(judgement.break_loose);
        }
}

TEST_CASE("bad jobs are called on other rigs") {
    for (const Rig& rig : rigs())
        for (const char* name : {"bonded", "seized", "galled", "loose-seat", "drift-slips", "unplugged"})
            for (std::uint64_t seed = 1; seed <= 4; ++seed) {
                const Judgement judgement = on_rig(rig, name, seed);
                const auto& calls = practice::find_scenario(name).calls;
                INFO(rig.name << ", " << name << ", seed " << seed << ": " << reasons(judgement));
                CHECK(std::find(calls.begin(), calls.end(), call_id(judgement.call)) != calls.end());
            }
}
