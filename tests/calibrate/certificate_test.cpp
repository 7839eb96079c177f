// Certificates: identity from content, dates, validity; and the guided steps and their wait.
#include "calibrate/certificate.hpp"

#include <boost/json.hpp>
#include <catch2/catch.hpp>
#include <cmath>

#include "calibrate/guided_series.hpp"
#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

TEST_CASE("a certificate's id follows from its content") {
    Certificate c;
    c.kind = "force";
    c.rig = "bench 1";
    c.who = "A. Turner";
    c.made = "2024-05-31";
    c.valid_until = "2025-05-31";
    c.readings = "indicated,reference_N\n1,\"1\"\n";
    c.result_json = "{\"degree\":1}";
    const std::string id = certificate_id(c);
    CHECK(id.substr(0, 15) == "force-20240531-");
    CHECK(id.size() == 23);
    CHECK(certificate_id(c) == id);
    const auto json = boost::json::parse(certificate_json(c));
    CHECK(json.at("id") == id.c_str());
    CHECK(json.at("result").at("degree") == 1);
    CHECK(json.at("readings") == c.readings.c_str());
    CHECK(json.at("temperature_C").is_null());
    c.readings += "2,2\n";
    CHECK(certificate_id(c) != id);
}

TEST_CASE("dates and validity") {
    CHECK(is_date("2024-02-29"));
    CHECK_FALSE(is_date("2023-02-29"));
    CHECK_FALSE(is_date("2024-13-01"));
    CHECK_FALSE(is_date("2024-1-01"));
    CHECK_FALSE(is_date("24-01-01"));
    CHECK_FALSE(is_date("2024-01-01 "));
    CHECK(months_later("2024-01-31", 1) == "2024-02-29");
    CHECK(months_later("2023-01-31", 1) == "2023-02-28");
    CHECK(months_later("2024-05-31", 12) == "2025-05-31");
    CHECK(months_later("2024-11-15", 3) == "2025-02-15");
    CHECK_THROWS_AS(months_later("soon", 3), BadInput);
    CHECK(validity_on("2024-05-31", "2024-05-31") == Validity::due_soon);
    CHECK(validity_on("2024-05-31", "2024-05-01") == Validity::due_soon);
    CHECK(validity_on("2024-05-31", "2024-04-30") == Validity::valid);
    CHECK(validity_on("2024-05-31", "2024-06-01") == Validity::expired);
}

TEST_CASE("guided force series: preloads, runs up, the last one down, never above capacity") {
    const auto steps = force_steps(5000, 10, 3, true);
    int preloads = 0, up = 0, down = 0;
    for (const auto& step : steps) {
        CHECK(step.target <= 5000);
        CHECK(step.target >= 0);
        preloads += !step.keep && step.target == 5000;
        up += step.keep && step.direction == "up";
        down += step.keep && step.direction == "down";
    }
    CHECK(preloads == 3);
    CHECK(up == 30);
    CHECK(down == 9);
    CHECK(steps.back().target == 0);  // ends unloaded
    CHECK_THROWS_AS(force_steps(0, 10, 3, true), BadInput);
    CHECK_THROWS_AS(force_steps(5000, 2, 3, true), BadInput);
    CHECK(stiffness_steps(4000, 8).back().target == 0);
    CHECK(travel_steps({0, 10, 50}).size() == 9);
    CHECK(pitch_steps(20, 21).back().target == 20);
    for (std::size_t i = 1; i < pitch_steps(20, 21).size(); ++i)
        CHECK(pitch_steps(20, 21)[i].target >= pitch_steps(20, 21)[i - 1].target);
}

TEST_CASE("a reading is steady when it stops drifting, however noisy") {
    SettlingWatch settling(3, 1);
    for (int i = 0; i < 20; ++i) settling.add(i * 0.1, 1000);
    CHECK_FALSE(settling.state().steady);  // two seconds are not three
    for (int i = 20; i < 40; ++i) settling.add(i * 0.1, 1000);
    CHECK(settling.state().steady);
    CHECK(settling.state().mean == 1000);
    CHECK(settling.state().count <= 32);
    // A load that creeps by 1 % while it is watched is not steady; the same with a fifth of a percent a
    // minute is.
    settling.restart();
    for (int i = 0; i < 40; ++i) settling.add(i * 0.1, 1000 + 2.5 * i);
    CHECK_FALSE(settling.state().steady);
    settling.restart();
    for (int i = 0; i < 40; ++i) settling.add(i * 0.1, 1000 + 0.003 * i);
    CHECK(settling.state().steady);
    // Noise of ± 3 N without drift is steady.
    settling.restart();
    for (int i = 0; i < 40; ++i) settling.add(i * 0.1, 1000 + 3 * std::sin(i * 2.4));
    CHECK(settling.state().steady);
    // A slow caliper: four readings a window are enough, two are not.
    SettlingWatch slow(3, 0.01);
    for (int i = 0; i < 3; ++i) slow.add(i * 1.5, 12.34);
    CHECK_FALSE(slow.state().steady);
    SettlingWatch each_second(3, 0.01);
    for (int i = 0; i < 5; ++i) each_second.add(i, 12.34);
    CHECK(each_second.state().steady);
}
