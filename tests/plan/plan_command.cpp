// halfturn plan as a caller sees it: the examples work together, keys, exit status, messages.
#include <catch2/catch.hpp>

#include "run_halfturn.hpp"

using namespace halfturn::test;

namespace {

struct Files {
    Bench bench;
    std::string job, rig, inventory;
    Files() {
        job = bench.file("job.toml", bench.run("example job").out);
        rig = bench.file("rig.toml", bench.run("example rig").out);
        inventory = bench.file("inventory.toml", bench.run("example inventory").out);
    }
};

}  // namespace

TEST_CASE("the examples make a plan, as a page and as JSON") {
    const Files files;
    const auto ran = files.bench.run("plan " + files.job + " --rig " + files.rig + " --inventory " + files.inventory + " --json");
    INFO(ran.out);
    REQUIRE(ran.status == 0);
    const auto json = ran.json();
    CHECK(json.at("answer") == "go-ahead");
    CHECK(json.at("reasons").as_array().empty());
    for (const char* part : {"drift", "plug", "support", "screw", "nut"})
        CHECK(json.at("parts").at(part).at("name").is_string());
    CHECK(number(json.at("torque").at("set_Nm")) > 1);
    CHECK(number(json.at("torque").at("clicks_to_N")) < number(json.at("limit_N")) + 1);
    CHECK_FALSE(json.at("can_judge").as_array().empty());
    CHECK(json.at("steps").as_array().size() >= 4);
    for (const auto& check : json.at("checks").as_array()) CHECK(check.at("says").as_string().size() > 20);
    const auto page = files.bench.run("plan " + files.job + " --rig " + files.rig + " --inventory " + files.inventory);
    CHECK(page.status == 0);
    CHECK(page.out.find("go ahead") != std::string::npos);
    CHECK(page.out.find("et your wrench to") != std::string::npos);
    CHECK(page.out.find("eye protection") != std::string::npos);
    for (std::size_t at = 0; at < page.out.size();) {
        const std::size_t end = page.out.find('\n', at);
        CHECK(end - at <= 80);
        at = end + 1;
    }
}

TEST_CASE("the answer is the exit status") {
    const Files files;
    const auto none = files.bench.file("none.toml", "name = \"empty drawer\"\n");
    const auto ran = files.bench.run("plan " + files.job + " --inventory " + none + " --json");
    CHECK(ran.status == 20);
    CHECK(ran.json().at("answer") == "not-this-way");
    CHECK(ran.json().at("torque").is_null());
    const auto help = files.bench.run("plan --help");
    CHECK(help.status == 0);
    CHECK(help.out.find("20 not this way") != std::string::npos);
}

TEST_CASE("a bad inventory is named by file, line and key") {
    const Files files;
    const auto status_and_text = [&](const std::string& text, const char* wanted) {
        const auto bad = files.bench.file("bad.toml", text);
        const auto ran = files.bench.run("plan " + files.job + " --inventory " + bad);
        INFO(text << "\n" << ran.out);
        CHECK(ran.status == 2);
        CHECK(ran.out.find("bad.toml") != std::string::npos);
        CHECK(ran.out.find(wanted) != std::string::npos);
    };
    status_and_text("[[drift]]\nname = \"a\"\ndiametre_mm = 3\n", "diameter_mm");
    status_and_text("[[drift]]\nname = \"a\"\ndiameter_mm = 14\nheight_mm = 5\nreach_mm = 6\n", "reach_mm");
    status_and_text("[[screw]]\nname = \"a\"\nthread = \"M9\"\nlength_mm = 100\n", "M9");
    status_and_text("[[screw]]\nname = \"a\"\nthread = \"M8\"\nclass = \"8,8\"\nlength_mm = 100\n", "8,8");
    status_and_text("[[support]]\nname = \"a\"\ninner_diameter_mm = 30\nouter_diameter_mm = 29\nheight_mm = 10\n", "outer_diameter_mm");
    status_and_text("[wrench]\nlow_Nm = 5\nhigh_Nm = 4\n", "high_Nm");
    status_and_text("[[plug]]\nname = \"a\"\ndiameter_mm = 10\nhole_mm = 4\n[[plug]]\nname = \"a\"\ndiameter_mm = 11\nhole_mm = 4\n",
                    "twice");
}

TEST_CASE("without an inventory the plan says what is needed and checks all the rest") {
    const Files files;
    const auto ran = files.bench.run("plan " + files.job + " --json");
    INFO(ran.out);
    CHECK(ran.status < 20);
    const auto json = ran.json();
    CHECK(json.at("parts").at("drift").at("name").is_null());
    CHECK(json.at("parts").at("drift").at("why").as_string().find("needs a ") == 0);
    const auto has = [&](const char* id) {
        for (const auto& check : json.at("checks").as_array())
            if (check.at("id") == id) return true;
        return false;
    };
    for (const char* id : {"inventory", "balls", "heat", "stored-energy"}) CHECK(has(id));
    // With the rig, its screw is known, and with it the torque.
    const auto with_rig = files.bench.run("plan " + files.job + " --rig " + files.rig + " --json").json();
    CHECK(with_rig.at("parts").at("screw").at("name") == "the rig's screw");
    CHECK(number(with_rig.at("torque").at("set_Nm")) > 0.5);
    const std::string card = (files.bench.folder / "card.svg").string();
    CHECK(files.bench.run("plan " + files.job + " --rig " + files.rig + " --drawing " + card).status < 20);
}
