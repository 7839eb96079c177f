// The report of jobs, made by the program and read by others' parsers.
#include <catch2/catch.hpp>

#include "report/reading.hpp"

using halfturn::test::Bench;
using halfturn::test::output_of;
using halfturn::test::Ran;
using halfturn::test::read_html;
using halfturn::test::read_pdf;
using halfturn::test::says;

namespace {

const std::string jobs = HALFTURN_TESTS_DIR "/jobs/";

std::string whole(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

// A store with the log judged and kept as job 1, 2, …
struct Kept : Bench {
    std::string store = " --store '" + (folder / "s.db").string() + "'";
    void keep(const std::string& log, const std::string& job = jobs + "castor-out.job.toml") const {
        const Ran ran = run("judge '" + jobs + log + "' --job '" + job + "' --rig '" + jobs + "castor.rig.toml' --keep" + store);
        if (ran.status == 1 || ran.status == 2) throw std::runtime_error(ran.out);
    }
    std::string path(const char* name) const { return (folder / name).string(); }
};

// 1 by 1, grey.
std::string tiny_png() {
    std::string bytes;
    for (const int byte : {0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48, 0x44, 0x52, 0x00, 0x00,
                           0x00, 0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x00, 0x00, 0x00, 0x00, 0x3a, 0x7e, 0x9b, 0x55, 0x00, 0x00, 0x00,
                           0x0a, 0x49, 0x44, 0x41, 0x54, 0x78, 0xda, 0x63, 0x68, 0x00, 0x00, 0x00, 0x82, 0x00, 0x81, 0xda, 0x45, 0x08,
                           0x3b, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82})
        bytes += static_cast<char>(byte);
    return bytes;
}

}  // namespace

TEST_CASE("a job's report says in HTML and PDF what review says") {
    const Kept bench;
    bench.keep("clean-steady-100hz.csv");
    REQUIRE(bench.run("sign-off 1 'seen and agreed' --who 'Ada L.'" + bench.store).status == 0);
    const Ran ran = bench.run("report 1 --html '" + bench.path("r.html") + "' --pdf '" + bench.path("r.pdf") + "' --json" + bench.store);
    INFO(ran.out);
    REQUIRE(ran.status == 0);
    CHECK(ran.json().at("jobs").at(0).at("call") == "nothing-unusual");
    const auto review = bench.run("review 1 --json" + bench.store).json();
    const auto page = read_html(bench.path("r.html"));
    CHECK(page.at("problems").as_array().empty());
    CHECK(page.at("figures") == 2);  // curve and grip along the depth
    const auto pages = read_pdf(bench.path("r.pdf"));
    REQUIRE(pages.size() >= 2);
    std::string paper;
    for (const auto& one : pages) paper += one;
    CHECK_THAT(pages[0], Catch::Matchers::Contains("page 1 of " + std::to_string(pages.size())));
    CHECK_THAT(pages.back(), Catch::Matchers::Contains("page " + std::to_string(pages.size()) + " of"));
    for (const std::string& what :
         {std::string("Nothing unusual"), std::string("Ada L."), std::string("seen and agreed"),
          std::string("without a valid certificate"), std::string(review.at("head").as_string()).substr(7, 30),
          std::string("halfturn verify --head"), std::string("could not be judged"),
          std::string("judge " + std::string(review.at("judge").as_string()))}) {
        INFO(what);
        CHECK(says(page, what));
        CHECK_THAT(paper, Catch::Matchers::Contains(what));
    }
    for (const auto& finding : review.at("findings").as_array()) CHECK(says(page, std::string(finding.at("says").as_string())));
    // One content for both: every heading of the page is on the paper.
    for (const auto& heading : page.at("headings").as_array())
        CHECK_THAT(paper, Catch::Matchers::Contains(std::string(heading.as_string()).substr(0, 30)));
    // The end of the job is a head by itself.
    const auto texts = page.at("texts").as_array();
    std::string link;
    for (std::size_t i = 0; i + 1 < texts.size(); ++i)
        if (texts[i] == "its end in the chain") link = texts[i + 1].as_string();
    REQUIRE(link.size() == 64);
    CHECK(bench.run("verify --head " + link + bench.store).status == 0);
    link[5] = link[5] == 'a' ? 'b' : 'a';
    CHECK(bench.run("verify --head " + link + bench.store).status != 0);
}

TEST_CASE("whatever stands in a field stays text") {
    const std::string evil = "<script>alert(1)</script>\"'&amp;\u202Ereversed\u2066";
    const Kept bench;
    std::string job = whole(jobs + "castor-out.job.toml");
    const std::string quoted = "'''" + evil.substr(0, evil.size()) + "'''";
    job.replace(job.find("\"castor fork\""), 13, quoted);
    job.replace(job.find("\"upper\""), 7, quoted);
    job.insert(0, "who = " + quoted + "\nset = " + quoted + "\n");
    bench.keep("seized-50hz.csv", bench.file("j.toml", job));
    const std::string word = bench.file("evil.txt", evil);
    const auto with = [&](const std::string& arguments) {
        const Ran ran = bench.run(arguments + " --who \"$(cat '" + word + "')\"" + bench.store);
        INFO(ran.out);
        REQUIRE(ran.status == 0);
    };
    with("note 1 \"$(cat '" + word + "')\"");
    with("sign-off 1 \"$(cat '" + word + "')\"");
    with("inspect 1 --seen scored --gauge \"$(cat '" + word + "')\" --bore-mm 28 --photo '" + bench.file("p.png", tiny_png()) + "'");
    const Ran ran = bench.run("report --set \"$(cat '" + word + "')\" --html '" + bench.path("r.html") + "' --pdf '" +
                              bench.path("r.pdf") + "'" + bench.store);
    INFO(ran.out);
    REQUIRE(ran.status == 0);
    const auto page = read_html(bench.path("r.html"));
    CHECK(page.at("problems").as_array().empty());
    CHECK(page.at("photos") == 1);
    const std::string html = whole(bench.path("r.html"));
    CHECK(html.find("<script") == std::string::npos);
    CHECK(html.find("\u202E") == std::string::npos);
    CHECK(html.find("\u2066") == std::string::npos);
    CHECK(says(page, "<script>alert(1)</script>\"'&amp;[U+202E]reversed[U+2066]"));
    std::string paper;
    for (const auto& one : read_pdf(bench.path("r.pdf"))) paper += one;
    CHECK_THAT(paper, Catch::Matchers::Contains("[U+202E]"));
}

TEST_CASE("a note longer than a page goes on to the next ones") {
    const Kept bench;
    bench.keep("clean-steady-100hz.csv");
    std::string words;
    for (int i = 0; i < 2500; ++i) words += "w" + std::to_string(i) + " ";
    REQUIRE(bench.run("note 1 \"$(cat '" + bench.file("n.txt", words) + "')\" --who Ada" + bench.store).status == 0);
    REQUIRE(bench.run("report 1 --pdf '" + bench.path("r.pdf") + "'" + bench.store).status == 0);
    std::string paper;
    for (const auto& one : read_pdf(bench.path("r.pdf"))) paper += one;
    int missing = 0;
    for (int i = 0; i < 2500; ++i) missing += paper.find("w" + std::to_string(i)) == std::string::npos;
    CHECK(missing == 0);
}

TEST_CASE("several jobs: all of them on one table first, then one part each, on the paper asked for") {
    const Kept bench;
    for (const char* log : {"clean-steady-100hz.csv", "seized-50hz.csv", "cocked-50hz.csv"}) bench.keep(log);
    const Ran ran = bench.run("report 1 2 3 2 --letter --html '" + bench.path("r.html") + "' --pdf '" + bench.path("r.pdf") +
                              "'" + bench.store);
    INFO(ran.out);
    REQUIRE(ran.status == 0);
    const auto page = read_html(bench.path("r.html"));
    CHECK(page.at("problems").as_array().empty());
    CHECK(page.at("headings").at(0) == "3 jobs");
    CHECK(whole(bench.path("r.html")).find("@page{size:letter") != std::string::npos);
    const auto pages = read_pdf(bench.path("r.pdf"));
    REQUIRE(pages.size() > 3);
    CHECK_THAT(pages[0], Catch::Matchers::Contains("stop and inspect: "));
    CHECK_THAT(pages[0], !Catch::Matchers::Contains("The curve"));
    CHECK_THAT(pages[1], Catch::Matchers::Contains("Job 1"));
    CHECK(output_of("pdfinfo '" + bench.path("r.pdf") + "'").find("(letter)") != std::string::npos);
}

TEST_CASE("what can't be reported is said") {
    const Kept bench;
    bench.keep("clean-steady-100hz.csv");
    const std::string html = " --html '" + bench.path("r.html") + "'" + bench.store;
    CHECK(bench.run("report" + html).status == 2);
    CHECK(bench.run("report 1 --set x" + html).status == 2);
    CHECK(bench.run("report 1" + bench.store).status == 2);
    CHECK(bench.run("report 9" + html).status == 2);
    CHECK(bench.run("report --set nowhere" + html).status == 2);
    CHECK(bench.run("report 1 --pdf r.txt" + bench.store).status == 2);
    CHECK(bench.run("report 1 --html r.pdf" + bench.store).status == 2);
    CHECK(bench.run("report 1 --html /nowhere/r.html" + bench.store).status == 2);
}
