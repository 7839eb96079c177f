// The page's form as a job file, curve points that keep every peak, and the reading of acts.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "files/job_file.hpp"
#include "screen/callers.hpp"
#include "screen/curve_points.hpp"
#include "screen/job_form.hpp"
#include "screen/found_upload.hpp"
#include "screen/page_act.hpp"
#include "screen/set_order.hpp"

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

TEST_CASE("A set goes from seat to seat in its order", "[screen]") {
    const JsonValue form = JsonValue::parse(R"({"work":"out","access":"past-spacer","designation":"61902","item":"fork 17","seat":"upper",
        "set":"spring","seats":" upper, lower,,fork 18 / upper","bore_mm":"27.98","bore_u_um":"2","outside_mm":"28","material":"6061-T6"})", "form");
    CHECK(seats_in_order(form) == std::vector<SetSeat>{{"fork 17", "upper"}, {"fork 17", "lower"}, {"fork 18", "upper"}});
    const auto next = next_form_of_set(form, {{"fork 17", "upper"}});
    REQUIRE(next);
    const JsonValue lower = JsonValue::parse(*next, "next");
    CHECK(lower.at("item").text() == "fork 17");
    CHECK(lower.at("seat").text() == "lower");
    CHECK(lower.at("material").text() == "6061-T6");
    CHECK(lower.find("bore_mm") == nullptr);     // measured on the other seat
    CHECK(lower.find("outside_mm") == nullptr);
    CHECK(lower.at("access").text() == "unknown");
    // From there on the order is the same one, though the form's own item changes.
    const auto last = next_form_of_set(lower, {{"fork 17", "upper"}, {"fork 17", "lower"}});
    REQUIRE(last);
    CHECK(JsonValue::parse(*last, "next").at("item").text() == "fork 18");
    CHECK(seats_in_order(JsonValue::parse(*last, "next")) == seats_in_order(form));
    CHECK_FALSE(next_form_of_set(form, seats_in_order(form)));
    CHECK_FALSE(next_form_of_set(JsonValue(), {}));
    // A job file has one seat: the order is the page's own.
    CHECK(read_job_text(job_text_from_form(form), "the form").seat == "upper");
}

TEST_CASE("What was found is read with its photo's bytes untouched", "[screen]") {
    const std::string photo("\xff\xd8\xff\n\0{}\n", 8);
    const std::string body = R"({"job":"ab12","who":" Ines ","seen":["scored","corroded"],"turns_freely":"no","decision":"rework","gauge":"bore gauge 12","bore_mm":"27,991","bore_u_um":"2","text":"grün"})";
    const std::string whole = body + "\n" + photo;
    const FoundUpload told = read_found_upload(whole);
    CHECK(told.job == "ab12");
    CHECK(told.who == "Ines");
    CHECK(told.photo == photo);
    CHECK(told.found.seen == std::vector<review::SeenOnSeat>{review::SeenOnSeat::scored, review::SeenOnSeat::corroded});
    CHECK(told.found.turns_freely == false);
    CHECK(told.found.decision == review::Decision::rework);
    CHECK(told.found.bore_mm == 27.991);
    CHECK(told.found.bore_u_um == 2);
    CHECK(told.found.text == "grün");
    CHECK(read_found_upload(body).photo.empty());
    const FoundUpload little = read_found_upload(R"({"job":"ab12","turns_freely":"","decision":"","bore_mm":" "})");
    CHECK_FALSE(little.found.turns_freely);
    CHECK_FALSE(little.found.decision);
    CHECK_FALSE(little.found.bore_mm);
    for (const char* bad : {"", "[]", "no JSON", R"({"seen":["shiny"]})", R"({"decision":"maybe"})", R"({"turns_freely":"perhaps"})", R"({"bore_mm":"27,9x"})",
                            R"({"bore_mm":27.9})", R"({"photo":"x"})", R"({"seen":"clean"})"})
        CHECK_THROWS_AS(read_found_upload(bad), BadInput);
    CHECK_THROWS_AS(read_found_upload("{\"text\":\"" + std::string(20'000, 'a') + "\"}"), BadInput);
}
