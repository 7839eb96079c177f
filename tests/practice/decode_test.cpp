// What the practice instruments say is what the tool's own decoders read: every byte of every job is a frame, and the
// numbers are the ones that were measured.
#include <algorithm>
#include <catch2/catch.hpp>

#include "core/framer.hpp"
#include "practice/support.hpp"

using namespace halfturn;
using namespace halfturn::practice;

namespace {

struct Decoded {
    std::vector<Reading> readings;
    std::vector<Fault> faults;
    int rejects = 0;
};

Decoded decode(const Job& job, const std::string& port, std::string_view format_id, const Settings& settings) {
    const Format* format = find_format(format_id);
    REQUIRE(format);
    Framer framer(*format, settings, Start::mid_line);
    Decoded decoded;
    const auto sink = [&](const Item& item, std::size_t) {
        if (const auto* reading = std::get_if<Reading>(&item)) decoded.readings.push_back(*reading);
        if (const auto* fault = std::get_if<Fault>(&item)) decoded.faults.push_back(*fault);
        if (std::holds_alternative<Reject>(item)) ++decoded.rejects;
    };
    for (const auto& event : job.events) {
        if (event.port != port) continue;
        if (!event.sent.empty()) framer.sent(event.sent);
        if (!event.bytes.empty()) framer.feed(event.bytes, sink);
    }
    return decoded;
}

}  // namespace

TEST_CASE("the tool's decoders read every practice instrument") {
    struct Case {
        std::string port;
        std::string_view format;
        Settings settings;
        Unit unit;
        double readings_per_s, most;  // most: the greatest value, in the unit printed
    };
    const double peak_N = run_job("clean", 6).truth.peak.force_N;
    const Case c = GENERATE_COPY(values<Case>({
        {"p=hdr-comma:force", "hdr-comma", {}, Unit::N, 80, peak_N},
        {"p=hdr-comma:force,unit=kg,decimal=comma", "hdr-comma", {{"decimal", "comma"}}, Unit::kg, 80, peak_N / 9.80665},
        {"p=hdr-comma:force,unit=kN,mode=poll", "hdr-comma", {}, Unit::kN, 10, peak_N / 1000},
        {"p=counts-csv:force,gain=0.01,offset=1000", "counts-csv", {{"fields", "us,raw"}}, Unit::counts, 80, peak_N * 100 + 1000},
        {"p=counts-csv:force,fields=ms,value,unit,raw,gain=0.01,offset=1000",
         "counts-csv",
         {{"fields", "ms,value,unit,raw"}},
         Unit::counts,
         80,
         peak_N * 100 + 1000},
        {"p=value-unit:screw-travel,starts_at=0", "value-unit", {}, Unit::mm, 10, 0},
        {"p=value-unit:ring-travel,unit=in,starts_at=0", "value-unit", {}, Unit::in, 10, 0},
        {"p=sign-cr:screw-travel,starts_at=0", "sign-cr", {{"unit", "mm"}}, Unit::mm, 10, 0},
        {"p=sign-cr:screw-travel,starts_at=0,mode=stream,resolution=0.001", "sign-cr", {{"unit", "mm"}}, Unit::mm, 10, 0},
        {"p=axis-semi:turns,starts_at=0", "axis-semi", {}, Unit::counts, 24, 0},
    }));
    INFO(c.port);
    const Job job = run_job("clean", 6, {c.port});
    const Decoded decoded = decode(job, "p", c.format, c.settings);
    CHECK(decoded.faults.empty());
    CHECK(decoded.rejects <= 1);  // the frame that was under way when the port was opened
    CHECK(static_cast<double>(decoded.readings.size()) / job.end_s == Approx(c.readings_per_s).epsilon(0.06));
    double most = -1e9, last = 0;
    for (const auto& reading : decoded.readings) {
        REQUIRE(reading.unit == c.unit);
        last = to_double(reading.value);
        most = std::max(most, last);
    }
    if (c.most > 0) CHECK(most == Approx(c.most).epsilon(0.08));
    const double end_mm = 1.25 * job.truth.clear->turns;
    if (c.port.find("screw-travel") != std::string::npos) CHECK(last == Approx(end_mm + 0.5).margin(0.3));
    if (c.port.find("ring-travel") != std::string::npos) CHECK(last * 25.4 == Approx(7.2).margin(0.5));
    if (c.port.find("turns") != std::string::npos) CHECK(last / 1200 == Approx(job.truth.clear->turns + 0.4).margin(0.2));
}

TEST_CASE("past its capacity the indicator says so and gives no number; a board saturates") {
    const Job job = run_job("bonded", 2, {"p=hdr-comma:force"});
    const Decoded decoded = decode(job, "p", "hdr-comma", {});
    CHECK(decoded.faults.size() > 50);
    for (const auto& fault : decoded.faults) REQUIRE(fault.code == FaultCode::overload);
    for (const auto& reading : decoded.readings) REQUIRE(to_double(reading.value) < 5110);
    const Job counts = run_job("bonded", 2, {"p=counts-csv:force,gain=0.0005"});
    const Decoded saturated = decode(counts, "p", "counts-csv", {{"fields", "us,raw"}});
    REQUIRE(saturated.faults.size() > 50);
    for (const auto& fault : saturated.faults) REQUIRE(fault.code == FaultCode::saturated);
}

TEST_CASE("spikes are marked as what they look like, a board that lost power tells so") {
    const Decoded spikes = decode(run_job("spikes", 2, {"p=counts-csv:force"}), "p", "counts-csv", {{"fields", "us,raw"}});
    CHECK(std::count_if(spikes.readings.begin(), spikes.readings.end(),
                        [](const Reading& r) { return r.suspect == Suspect::power_of_two_less_one; }) >= 5);
    const Decoded back = decode(run_job("unplugged", 2, {"p=counts-csv:force"}), "p", "counts-csv", {{"fields", "us,raw"}});
    CHECK(std::any_of(back.faults.begin(), back.faults.end(),
                      [](const Fault& f) { return f.code == FaultCode::device_restarted; }));
}
