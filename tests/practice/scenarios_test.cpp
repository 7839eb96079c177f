// Each practice job is what its name says, for every seed, and the log of it is a sound one.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <ctime>
#include <regex>
#include <set>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "practice/support.hpp"

using namespace halfturn;
using namespace halfturn::practice;

namespace {

// The numbers of lines like "12.34 mm", of fields like "+00812.5 N" or counts like "X1234;", first part of a frame dropped.
std::vector<double> numbers_in(const std::string& bytes, const char* pattern) {
    std::vector<double> numbers;
    const std::regex expression(pattern);
    for (std::sregex_iterator it(bytes.begin(), bytes.end(), expression), end; it != end; ++it)
        numbers.push_back(*parse_number((*it)[1].str()));
    return numbers;
}
constexpr const char* force_pattern = "[,]([+-][0-9]{5}[.][0-9]) N\r\n";
constexpr const char* travel_pattern = "\n(-?[0-9]+[.][0-9]{2}) mm\r";
constexpr const char* count_pattern = ";X(-?[0-9]+)(?=;)";

}  // namespace

TEST_CASE("every job gives an orderly log, twice the same for the same seed") {
    std::set<std::string> logs;
    for (const auto& kind : scenario_kinds()) {
        INFO(kind.name);
        const Job job = run_job(kind.name, 3);
        CHECK(job.log == run_job(kind.name, 3).log);
        CHECK(job.log != run_job(kind.name, 4).log);
        CHECK(logs.insert(job.log).second);
        CHECK(job.end_s < 60);
        std::map<std::string, double> last_ms;
        std::vector<std::string> acts;
        double before_ms = 0;
        bool orderly = true;
        for (const auto& event : job.events) {
            orderly = orderly && event.t_ms >= before_ms;
            before_ms = event.t_ms;
            if (!event.bytes.empty()) {
                orderly = orderly && event.bytes.size() <= 62 && event.t_ms > last_ms[event.port];
                last_ms[event.port] = event.t_ms;
            }
            if (!event.operator_did.empty()) acts.push_back(event.operator_did);
        }
        CHECK(orderly);
        CHECK(acts == std::vector<std::string>{"zero", "begin", "end"});
    }
}

TEST_CASE("instruments talk at their true rates") {
    const Job job = run_job("clean", 11);
    CHECK(static_cast<double>(numbers_in(job.bytes_of("force"), force_pattern).size()) / job.end_s == Approx(80).epsilon(0.04));
    CHECK(static_cast<double>(numbers_in(job.bytes_of("caliper"), travel_pattern).size()) / job.end_s == Approx(10).epsilon(0.04));
    CHECK(static_cast<double>(numbers_in(job.bytes_of("counter"), count_pattern).size()) / job.end_s == Approx(24).epsilon(0.04));
}

TEST_CASE("the readings are the truth within noise, lag and least count") {
    const Job job = run_job("clean", 12);
    const auto forces = numbers_in(job.bytes_of("force"), force_pattern);
    const double zero_N = forces.front();
    const double peak_N = *std::max_element(forces.begin(), forces.end()) - zero_N;
    const double step_N = job.scenario.press.stiffness_N_per_mm * 1.25 * job.scenario.hand.careful_turns_per_s;
    CHECK(peak_N < job.truth.peak.force_N + 8);
    CHECK(peak_N > job.truth.peak.force_N - step_N * (0.006 + 1.3 / 80) - 8);  // lag and one reading later
    const auto travel = numbers_in(job.bytes_of("caliper"), travel_pattern);
    const auto counts = numbers_in(job.bytes_of("counter"), count_pattern);
    const double turns = (counts.back() - counts.front()) / 1200;
    CHECK(travel.back() - travel.front() == Approx(turns * 1.25).margin(0.03));
    CHECK(turns > 5.6);
}

TEST_CASE("a clean job is an ordinary one for every seed") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        INFO(seed);
        const Job job = run_job("clean", seed);
        REQUIRE(job.ended_by == "done");
        REQUIRE(job.truth.release);
        REQUIRE(job.truth.clear);
        CHECK(job.truth.release->force_N > 560);
        CHECK(job.truth.release->force_N < 1000);
        CHECK(job.truth.peak.force_N < 1.005 * job.truth.release->force_N);  // nothing above the release
        CHECK(job.truth.release->turns - job.truth.contact->turns < 0.1);
        CHECK(job.truth.clear->turns - job.truth.contact->turns == Approx(5.6).margin(0.1));
    }
}

TEST_CASE("each bad job goes wrong in its own way") {
    const auto seed = static_cast<std::uint64_t>(GENERATE(range(1, 7)));
    INFO(seed);
    const double ordinary_N = lets_go_at_N(make_scenario(find_scenario("clean"), seed, {}).seat);
    const auto truth = [&](std::string_view name) { return run_job(name, seed).truth; };

    CHECK(truth("loose-seat").release->force_N < 0.3 * ordinary_N);
    CHECK(truth("bonded").peak.force_N > 6000);
    const Truth seized = truth("seized");
    CHECK_FALSE(seized.release);
    CHECK(seized.peak.force_N > 5000);
    const Truth tilting = truth("tilting");
    CHECK(tilting.peak.force_N > 1.8 * ordinary_N);
    const Truth galled = truth("galled");
    CHECK(galled.release->force_N == Approx(ordinary_N).epsilon(0.03));
    CHECK(galled.peak.force_N > 1.3 * galled.release->force_N);
    CHECK(galled.peak.slid_mm > 1);
    const Truth slips = truth("drift-slips");
    REQUIRE(slips.drift_slip);
    CHECK(slips.drift_slip->slid_mm == 0);
    CHECK(slips.release->t_s > slips.drift_slip->t_s);
    const Truth fast = truth("fast-hand");
    CHECK((fast.release->turns - fast.contact->turns) / (fast.release->t_s - fast.contact->t_s) > 0.6);
    const Truth in = truth("press-in");
    REQUIRE(in.home);
    CHECK(in.peak.force_N < 2500);
    CHECK(in.peak.force_N > in.home->force_N);
    CHECK(truth("overdriven").peak.force_N > 3000);
}

TEST_CASE("each mishap shows on the wire") {
    const auto seed = static_cast<std::uint64_t>(GENERATE(range(1, 5)));
    INFO(seed);
    SECTION("unplugged: lost, silent, back") {
        const Job job = run_job("unplugged", seed);
        double lost_ms = 0, back_ms = 0;
        for (const auto& event : job.events) {
            if (event.state == "lost") lost_ms = event.t_ms;
            if (event.state == "opened" && event.t_ms > 0) back_ms = event.t_ms;
            if (lost_ms > 0 && back_ms == 0 && event.port == "force") REQUIRE(event.bytes.empty());
        }
        CHECK(back_ms - lost_ms > 1100);
        CHECK(back_ms - lost_ms < 1900);
        CHECK(job.truth.mishap_at->force_N > 0.2 * lets_go_at_N(job.scenario.seat));
        CHECK(job.truth.mishap_at->t_s < job.truth.release->t_s);
    }
    SECTION("spikes: single ones, several") {
        const Job job = run_job("spikes", seed, {"force=counts-csv:force,fields=raw"});
        const auto counts = numbers_in(job.bytes_of("force"), "\n(-?[0-9]+)(?=\r)");
        int spikes = 0;
        bool before = false, twice = false;
        for (const double count : counts) {
            const double bits = std::log2(count + 1);
            const bool spike = count > 100000 && bits == std::round(bits);
            spikes += spike;
            twice = twice || (spike && before);
            before = spike;
        }
        CHECK(spikes >= 5);
        CHECK_FALSE(twice);
    }
    SECTION("unit key: from mm to inches, the same length") {
        const std::string bytes = run_job("unit-key", seed).bytes_of("caliper");
        const auto mm = numbers_in(bytes, travel_pattern), in = numbers_in(bytes, "\n(-?[0-9]+[.][0-9]{4}) in\r");
        REQUIRE(in.size() > 20);
        CHECK(in.front() * 25.4 == Approx(mm.back()).margin(0.2));
    }
    SECTION("zero key: a jump to nothing") {
        const Job job = run_job("zero-key", seed);
        const auto travel = numbers_in(job.bytes_of("caliper"), travel_pattern);
        double jump = 0;
        for (std::size_t i = 1; i < travel.size(); ++i) jump = std::max(jump, travel[i - 1] - travel[i]);
        CHECK(jump > 0.4);
    }
    SECTION("caliper slips: turns without travel") {
        const Job job = run_job("caliper-slips", seed);
        const auto travel = numbers_in(job.bytes_of("caliper"), travel_pattern);
        const auto counts = numbers_in(job.bytes_of("counter"), count_pattern);
        CHECK(travel.back() - travel.front() < 0.5 * 1.25 * (counts.back() - counts.front()) / 1200);
        CHECK(job.truth.release->force_N > 1500);
    }
    SECTION("held end creeps: more turns than travel") {
        const Job job = run_job("held-end-creeps", seed);
        const auto travel = numbers_in(job.bytes_of("caliper"), travel_pattern);
        const auto counts = numbers_in(job.bytes_of("counter"), count_pattern);
        CHECK(travel.back() - travel.front() < 0.95 * 1.25 * (counts.back() - counts.front()) / 1200);
    }
}

TEST_CASE("the hand hears the words") {
    const double contact_s = run_job("seized", 2).truth.contact->t_s;
    SECTION("stop: it goes on for its reaction time, holds, backs off until unloaded") {
        LogWish wish;
        wish.words = {{contact_s + 1, Word::stop}};
        const Job job = run_job("seized", 2, {}, wish);
        CHECK(job.ended_by == "word");
        CHECK(job.truth.peak.t_s < contact_s + 1 + 0.8);
        const auto forces = numbers_in(job.bytes_of("force"), force_pattern);
        CHECK(forces.back() == Approx(forces.front()).margin(5));
    }
    SECTION("wait, then turn: nothing moves meanwhile") {
        LogWish wish;
        wish.words = {{contact_s - 0.5, Word::wait}, {contact_s + 10, Word::turn}};
        const Job job = run_job("clean", 2, {}, wish);
        CHECK(job.ended_by == "done");
        CHECK(job.end_s > run_job("clean", 2).end_s + 8);
    }
    SECTION("slower: the same job takes longer") {
        LogWish wish;
        wish.words = {{1, Word::slower}, {contact_s - 1, Word::slower}};
        CHECK(run_job("clean", 2, {}, wish).end_s > 1.5 * run_job("clean", 2).end_s);
    }
}

TEST_CASE("wishes replace what the seed would draw") {
    Wishes wishes;
    wishes.grip_N = 9000;
    wishes.friction = 0.1;
    wishes.pitch_mm = 1.0;
    wishes.stiffness_N_per_mm = 12000;
    const Job job = run_job("clean", 1, {}, {}, wishes);
    CHECK(job.truth.release->force_N == Approx(900 / (1 - 0.1 * job.scenario.seat.tightening)).epsilon(0.01));
    CHECK(job.truth.clear->turns - job.truth.contact->turns == Approx(7).margin(0.1));
}

TEST_CASE("what can't be used is refused with a hint") {
    CHECK_THROWS_WITH(find_scenario("cleen"), Catch::Contains("did you mean \"clean\""));
    for (const char* port : {"x=y", "force", "force=hdr-coma:force", "force=hdr-comma:turns", "force=hdr-comma:speed",
                             "force=hdr-comma:force,kN", "=hdr-comma:force"})
        CHECK_THROWS_AS(read_port_wish(port), BadInput);
    const Scenario scenario = make_scenario(find_scenario("clean"), 1, {});
    for (const char* port : {"f=hdr-comma:force,unitt=N", "f=hdr-comma:force,unit=mm", "f=hdr-comma:force,rate_hz=1e9",
                             "f=counts-csv:force,fields=us,rew", "f=counts-csv:force,gain=0", "f=hdr-comma:force,noise="})
        CHECK_THROWS_AS(Bench(scenario, {read_port_wish(port)}), BadInput);
    CHECK_THROWS_AS(Bench(scenario, {usual_ports()[0], usual_ports()[0]}), BadInput);
}

#if defined(__OPTIMIZE__) && !defined(__SANITIZE_ADDRESS__)
TEST_CASE("twenty jobs a second and more") {
    const std::clock_t before = std::clock();
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        Bench bench(make_scenario(find_scenario("clean"), seed, {}), usual_ports());
        run_to_log(bench, {});
    }
    CHECK(static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC < 1.0);
}
#endif
