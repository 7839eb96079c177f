// What the review pages ask, over HTTP from a running bench: answers, refusals, and that nobody else gets any.
#include <catch2/catch.hpp>
#include <algorithm>
#include <fstream>
#include <sstream>

#include "core/sha256.hpp"
#include "record/reader.hpp"
#include "review/entries.hpp"
#include "review/many_jobs.hpp"
#include "run_halfturn.hpp"
#include "screen/served_bench.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

const std::string jobs = HALFTURN_TESTS_DIR "/jobs/";

// Two real jobs of a castor, one with an inspection and its photo, and a crowd of made-up ones after them.
struct Filled {
    Bench bench;
    std::string path = (bench.folder / "review.db").string(), photo, text = "scored <b>deep</b> & \"wide\"";
    explicit Filled(std::int64_t crowd) {
        for (int i = 0; i < 2; ++i)
            REQUIRE(bench.run("judge '" + jobs + "clean-noisy-100hz.csv' --job '" + jobs + "castor-out.job.toml' --rig '" + jobs + "castor.rig.toml' --keep --store '" + path + "'").status == 0);
        record::Store store = record::Store::open(path, record::Mode::write);
        review::Inspection found;
        found.seen = {review::SeenOnSeat::scored};
        found.text = text;
        std::string png;
        from_hex(
            "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b550000000a49444154789c636000000002000148afa471000000"
            "0049454e44ae426082",
            png);
        photo = png;
        review::add_inspection(store, record::find_job(store, "1"), "Ana", found, png);
        add_made_jobs(store, crowd, usual_made_job);
    }
};

}  // namespace

TEST_CASE("The review pages' questions are answered", "[screen]") {
    Filled filled(120);
    const ServedBench bench(filled.path);
    const auto list = bench.get("/data/review/jobs?most=20").json();
    CHECK(list.at("total").to_number<int>() == 122);
    REQUIRE(list.at("jobs").as_array().size() == 20);
    CHECK(list.at("jobs").at(0).at("number").to_number<int>() == 122);
    CHECK(list.at("complete").as_bool());
    const auto older = bench.get("/data/review/jobs?most=20&before=103").json();
    CHECK(older.at("jobs").at(0).at("number").to_number<int>() == 102);
    CHECK(older.at("total").to_number<int>() == 122);
    const auto named = bench.get("/data/review/jobs?who=Zo%C3%AB&call=look-closer&call=stop-and-inspect").json();
    for (const auto& job : named.at("jobs").as_array()) {
        CHECK(job.at("who") == "Zoë");
        CHECK(job.at("call") != "nothing-unusual");
    }
    const auto scored = bench.get("/data/review/jobs?search=scored+deep").json();
    REQUIRE(scored.at("jobs").as_array().size() == 1);
    const auto& pieces = scored.at("jobs").at(0).at("passage").as_array();
    REQUIRE(pieces.size() >= 3);
    CHECK(pieces.at(1) == "scored");

    const auto job = bench.get("/data/review/job/1").json();
    CHECK(job.at("record").at("number").to_number<int>() == 1);
    CHECK(job.at("agreement") == "same");
    CHECK(job.at("drawn").at("points").as_array().size() > 50);
    CHECK(job.at("set_up").at("instruments").as_array().size() >= 1);
    CHECK(job.at("judgements").as_array().size() == 1);
    CHECK(std::string(job.at("entries").at(0).at("says").as_string()).find(filled.text) != std::string::npos);
    const auto content = boost::json::parse(job.at("entries").at(0).at("content").as_string());
    const Reply photo = bench.get("/data/review/photo/" + std::string(content.at("photo").as_string()));
    CHECK(photo.status == 200);
    CHECK(photo.body == filled.photo);
    CHECK(photo.head.find("Content-Type: image/png") != std::string::npos);
    CHECK(photo.head.find("nosniff") != std::string::npos);

    const auto compared = bench.get("/data/review/compare?jobs=1,2&align=release").json();
    CHECK(compared.at("jobs").as_array().size() == 2);
    CHECK(number(compared.at("jobs").at(1).at("largest_N")) == 0);  // the same log twice
    CHECK(bench.get("/data/review/like/1").json().at("number").to_number<int>() == 1);
    CHECK(bench.get("/data/review/values/who?begins=Z").json().as_array().at(0) == "Zoë");
    CHECK(bench.get("/data/review/fields").json().at("findings").as_array().size() > 5);
    CHECK(bench.get("/data/review/calibrations").json().at("certificates").as_array().empty());
    CHECK(bench.get("/data/review/trends/fields").json().at("by").as_array().size() == 5);
    CHECK(bench.get("/data/review/trends?charted=break-loose&by=who").json().at("by") == "who");
    const Reply page = bench.get("/review");
    CHECK(page.status == 200);
    CHECK(page.head.find("text/html") != std::string::npos);
    CHECK(page.body.find("@KEY@") == std::string::npos);  // the review pages only read, and are given no key
    CHECK(page.body.find("halfturn-key") == std::string::npos);
}

TEST_CASE("A job's readings come as a screen draws them, at any stretch", "[screen]") {
    Filled filled(1);
    const ServedBench bench(filled.path);
    // The log itself, as its writer left it.
    std::ifstream log(jobs + "clean-noisy-100hz.csv");
    std::string line;
    std::getline(log, line);
    REQUIRE(line.rfind("t_s,force_N", 0) == 0);
    std::vector<std::pair<double, double>> given;
    while (std::getline(log, line)) {
        std::istringstream cells(line);
        double t_s = 0, force_N = 0;
        char comma = 0;
        if (cells >> t_s >> comma >> force_N) given.emplace_back(t_s, force_N);
    }
    REQUIRE(given.size() > 100);
    const auto extremes = [](const boost::json::value& channel) {
        double low = 1e9, high = -1e9;
        for (const auto& column : channel.at("columns").as_array()) {
            if (column.is_null()) continue;
            low = std::min(low, number(column.at(0)));
            high = std::max(high, number(column.at(1)));
        }
        return std::pair(low, high);
    };
    const auto force_of = [](const boost::json::value& drawn) {
        for (const auto& channel : drawn.at("channels").as_array())
            if (channel.at("measures") == "force") return channel;
        throw std::runtime_error("no force");
    };
    const auto whole = bench.get("/data/review/readings/1").json();
    const auto all = force_of(whole);
    CHECK(all.at("unit") == "N");
    CHECK(all.at("columns").as_array().size() == 1200);
    CHECK(number(whole.at("whole").at("from_s")) == Approx(given.front().first).margin(1e-6));
    CHECK(number(whole.at("whole").at("to_s")) == Approx(given.back().first).margin(1e-6));
    const auto by_force = [](const auto& a, const auto& b) { return a.second < b.second; };
    const double spread = std::max_element(given.begin(), given.end(), by_force)->second -
                          std::min_element(given.begin(), given.end(), by_force)->second;
    CHECK(extremes(all).second - extremes(all).first == Approx(spread).margin(0.02));

    // A stretch of it: what lies there and nothing else, in as many columns as were asked for.
    const double middle = given[given.size() / 2].first;
    const auto part = bench
                          .get("/data/review/readings/1?from_s=" + std::to_string(middle) +
                               "&to_s=" + std::to_string(middle + 0.5) + "&columns=50")
                          .json();
    const auto some = force_of(part);
    CHECK(some.at("columns").as_array().size() == 50);
    double low = 1e9, high = -1e9;
    for (const auto& [t_s, force_N] : given)
        if (t_s >= middle - 1e-9 && t_s < middle + 0.5 - 1e-9) low = std::min(low, force_N), high = std::max(high, force_N);
    CHECK(extremes(some).second - extremes(some).first == Approx(high - low).margin(0.02));
    // Beside the job, nothing.
    const auto beside = force_of(bench.get("/data/review/readings/1?from_s=9000&to_s=9001&columns=3").json());
    REQUIRE(beside.at("columns").as_array().size() == 3);
    for (const auto& column : beside.at("columns").as_array()) CHECK(column.is_null());
    // A job whose bytes say nothing has no pictures, and says so.
    const auto none = bench.get("/data/review/readings/3").json();
    CHECK(none.at("channels").as_array().empty());
    CHECK(none.at("why_not") == "No readings were recorded.");
    for (const char* bad :
         {"readings/99", "readings/x", "readings/1?from_s=x", "readings/1?from_s=2&to_s=1", "readings/1?columns=0",
          "readings/1?columns=4001", "readings/1?to_s=nan", "readings/1?from_s=1e300", "readings/1?colour=red"}) {
        INFO(bad);
        CHECK(bench.get(std::string("/data/review/") + bad).status == 400);
    }
}

TEST_CASE("What can't be answered is refused in words, and nobody else is answered", "[screen]") {
    Filled filled(3);
    const ServedBench bench(filled.path);
    const auto status = [&](const std::string& target) { return bench.get(target).status; };
    for (const char* bad : {"/data/review/jobs?call=fine",
                            "/data/review/jobs?colour=red",
                            "/data/review/jobs?most=many",
                            "/data/review/jobs?most=0",
                            "/data/review/jobs?since=x",
                            "/data/review/jobs?search=%22%22--",
                            "/data/review/jobs?who=%FF",
                            "/data/review/jobs?who=%4",
                            "/data/review/job/99",
                            "/data/review/job/x",
                            "/data/review/job/1%20OR%201",
                            "/data/review/job/",
                            "/data/review/compare?jobs=1",
                            "/data/review/compare?jobs=1,2&align=start",
                            "/data/review/compare?jobs=1,1,1,1,1,1,1,1,1,1,1,1,1",
                            "/data/review/compare?jobs=1,99",
                            "/data/review/like/x",
                            "/data/review/trends?charted=none",
                            "/data/review/trends?by=colour",
                            "/data/review/trends?work=up",
                            "/data/review/values/json"}) {
        INFO(bad);
        const Reply reply = bench.get(bad);
        CHECK(reply.status == 400);
        CHECK(reply.body.size() > 20);
        CHECK(reply.head.find("text/plain") != std::string::npos);
    }
    for (const char* missing : {"/data/review", "/data/review/", "/data/review/jobs/../../etc/passwd", "/data/review/photo/zz",
                                "/data/review/photo/"
                                "00",
                                "/data/review/everything", "/review/none.js"}) {
        INFO(missing);
        CHECK((status(missing) == 404 || status(missing) == 200));
        CHECK(bench.get(missing).body.find("root:") == std::string::npos);
    }
    CHECK(status("/data/review/everything") == 404);
    CHECK(status("/data/review/photo/zz") == 404);
    // Injection through every field: an answer or a refusal, and the store as it was.
    for (const char* text : {"%27%20OR%201%3D1%20--", "%22%20OR%20%22", "%00", "%3Cscript%3E", "*", "%25", "NEAR(a%20b)", "names:x", "%5C"})
        for (const char* field : {"search", "call", "bearing", "item", "seat", "set", "who", "rig", "since", "until", "warning",
                                  "finding", "signed-off", "set-aside"}) {
            const Reply reply = bench.get("/data/review/jobs?" + std::string(field) + "=" + text);
            INFO(field << "=" << text << ": " << reply.body);
            CHECK((reply.status == 200 || reply.status == 400));
            const bool blank_search = std::string_view(field) == "search" && std::string_view(text) == "%00";  // nothing to look for: all
            if (reply.status == 200 && std::string_view(text) != "*" && !blank_search)
                CHECK(reply.json().at("total").to_number<int>() == 0);
        }
    CHECK(bench.get("/data/review/jobs").json().at("total").to_number<int>() == 5);
    // Another site's page, another host's name, and a write.
    CHECK(bench.get("/data/review/jobs", "Origin: http://example.org\r\n").status == 403);
    CHECK(bench.get("/data/review/jobs", "Sec-Fetch-Site: cross-site\r\n").status == 403);
    CHECK(bench.get("/data/review/jobs", "Content-Length: 0\r\n", "POST").status == 403);
    CHECK(bench.get("/data/review/jobs", "", "DELETE").status == 405);
    RawClient other(bench.port());
    other.send("GET /data/review/jobs HTTP/1.1\r\nHost: example.org\r\n\r\n");
    CHECK(other.read_until("\r\n\r\n").substr(9, 3) == "421");
}

TEST_CASE("A bench on its first day has an empty list", "[screen]") {
    Bench folder;
    const ServedBench bench((folder.folder / "none.db").string());
    CHECK(bench.get("/data/review/jobs").json().at("total").to_number<int>() == 0);
    CHECK(bench.get("/data/review/calibrations").status == 200);
    CHECK(bench.get("/data/review/job/1").status == 400);
}
