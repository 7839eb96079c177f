// The page's form as a job file, curve points that keep every peak, and the reading of acts.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "files/job_file.hpp"
#include "screen/callers.hpp"
#include "screen/curve_points.hpp"
#include "screen/job_form.hpp"
#include "screen/page_act.hpp"

using namespace halfturn;
using namespace halfturn::screen;

namespace {

JobFile job_of(const std::string& form) { return read_job_text(job_text_from_form(JsonValue::parse(form, "form")), "the form"); }

}  // namespace

TEST_CASE("A filled-in form reads back as the job it says", "[screen]") {
    const JobFile job = job_of(R"({"work":"in","access":"past-spacer","designation":" 61902 ","material":"6061-T6","shape":"long-tube",
        "surface":"oiled","who":"A \"quoted\" \\ name","item":"line\nbreak","bore_mm":"27,978","outside_mm":"","temperature_C":"unknown"})");
    CHECK(job.work == Work::in);
    CHECK(job.access == Access::past_spacer);
    CHECK(job.bearing.designation == "61902");
    CHECK(job.housing.material == "6061-T6");
    CHECK(job.housing.shape == HousingShape::long_tube);
    CHECK(job.condition.surface == Surface::oiled);
    CHECK(job.who == "A \"quoted\" \\ name");
    CHECK(job.item == "line\nbreak");
    CHECK(job.seat_fit.bore_mm == 27.978);
    CHECK_FALSE(job.seat_fit.outside_mm);
    CHECK_FALSE(job.housing.temperature_C);
}

TEST_CASE("A form can't smuggle in what it has no field for", "[screen]") {
    const JobFile job = job_of(R"({"work":"out","designation":"61902","who":"x\"\nwork = \"in","item":"]\n[bearing]"})");
    CHECK(job.work == Work::out);
    CHECK(job.item == "]\n[bearing]");
    CHECK_THROWS_AS(job_of(R"({"work":"out","designation":"61902","friction":"0.1"})"), BadInput);
    CHECK_THROWS_AS(job_of(R"({"work":"sideways","designation":"61902"})"), BadInput);
    CHECK_THROWS_WITH(job_of(R"({"work":"out","designation":"61902","bore_mm":"28mm"})"), Catch::Contains("the measured bore") && Catch::Contains("28mm"));
    CHECK_THROWS_AS(job_of(R"({"work":"out"})"), BadInput);
    CHECK_THROWS_AS(job_of(R"({"work":"out","designation":7})"), BadInput);
    CHECK_THROWS_AS(job_of(R"([])"), BadInput);
}

TEST_CASE("Curve points stay few and lose no peak", "[screen]") {
    CurvePoints points;
    // 100 minutes at 80 a second, one lone peak and one lone dip.
    for (int i = 0; i < 480'000; ++i) {
        const double t = i / 80.0;
        points.add(t, t * 0.01, i == 123'457 ? 5000.0 : i == 300'001 ? -40.0 : 1000.0);
    }
    CHECK(points.points().size() <= CurvePoints::most_points);
    CHECK(points.points().size() > CurvePoints::most_points / 4);
    double high = 0, low = 1e9, before = -1;
    for (const auto& p : points.points()) {
        high = std::max(high, p.high_N);
        low = std::min(low, p.low_N);
        CHECK(p.t_s > before);
        before = p.t_s;
    }
    CHECK(high == 5000.0);
    CHECK(low == -40.0);
    CHECK(points.json(SetUp{}).size() < 60'000);
}

TEST_CASE("Keys are compared whole", "[screen]") {
    CHECK(same_key("abc", "abc"));
    CHECK_FALSE(same_key("abc", "abd"));
    CHECK_FALSE(same_key("abc", "abcd"));
    CHECK_FALSE(same_key("", "a"));
    const std::string a = random_key(), b = random_key();
    CHECK(a.size() == 32);
    CHECK(a != b);
}
