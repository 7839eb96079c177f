// The built program as a caller meets it: help everywhere, one clear line and status 2 for bad input, no locale.
#include <catch2/catch.hpp>

#include <algorithm>
#include <sstream>

#include "run_halfturn.hpp"

using halfturn::test::Bench;
using halfturn::test::Ran;

namespace {

// The names under "Subcommands:" of a help text.
std::vector<std::string> commands_in(const std::string& help) {
    std::vector<std::string> names;
    std::istringstream lines(help.substr(std::min(help.find("Subcommands:"), help.size())));
    std::string line;
    std::getline(lines, line);
    while (std::getline(lines, line)) {
        if (line.size() < 3 || line.substr(0, 2) != "  " || line[2] == ' ') continue;
        names.push_back(line.substr(2, line.find(' ', 2) - 2));
    }
    return names;
}

void check_help(const Bench& bench, const std::string& command, const std::string& help, int depth) {
    for (const std::string& name : commands_in(help)) {
        const std::string whole = command + (command.empty() ? "" : " ") + name;
        CAPTURE(whole);
        const Ran ran = bench.run(whole + " --help");
        CHECK(ran.status == 0);
        CHECK(ran.out.find("Usage:") != std::string::npos);
        CHECK(ran.out.find("--help") != std::string::npos);
        const Ran wrong = bench.run(whole + " --no-such-option");
        CHECK(wrong.status == 2);
        if (depth < 2) check_help(bench, whole, ran.out, depth + 1);
    }
}

struct Files {
    const Bench& bench;
    std::string job = bench.file("job.toml", bench.run("example job").out);
    std::string rig = bench.file("rig.toml", bench.run("example rig").out);
    std::string log = bench.file("log.csv", "t_s,force_N,turns\n0,0,0\n1,10,0.01\n2,20,0.02\n");

    // Command lines in which @ is the file under test.
    std::vector<std::string> lines() const {
        return {"expect @",
                "expect '" + job + "' --rig @",
                "watch @ --rig '" + rig + "' --practice clean --store '" + (bench.folder / "no.db").string() + "'",
                "watch '" + job + "' --rig @ --practice clean --store '" + (bench.folder / "no.db").string() + "'",
                "judge @ --job '" + job + "' --rig '" + rig + "'",
                "judge '" + log + "' --job @ --rig '" + rig + "'",
                "judge '" + log + "' --job '" + job + "' --rig @",
                "fit @",
                "calibrate line @",
                "calibrate budget @",
                "calibrate class7500 @",
                "calibrate class376 @"};
    }
};

std::string with_file(std::string line, const std::string& path) { return line.replace(line.find('@'), 1, "'" + path + "'"); }

void check_refused(const Bench& bench, const std::string& line) {
    CAPTURE(line);
    const Ran ran = bench.run(line + " < /dev/null");
    CAPTURE(ran.out);
    CHECK(ran.status == 2);
    CHECK(ran.out.rfind("halfturn: ", 0) == 0);
    CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 1);
    CHECK(ran.out.size() > 30);
    for (const char c : ran.out) CHECK_FALSE((static_cast<unsigned char>(c) < 0x20 && c != '\n'));
}

}  // namespace

TEST_CASE("every command has help and refuses an option it does not know") {
    const Bench bench;
    const std::string help = bench.run("--help").out;
    const auto names = commands_in(help);
    for (const char* name : {"example", "expect", "watch", "judge", "review", "rejudge", "verify", "decode", "fit", "tables",
                             "calibrate", "export"}) {
        CAPTURE(name);
        CHECK(std::find(names.begin(), names.end(), name) != names.end());
    }
    check_help(bench, "", help, 0);
    CHECK(bench.run("").status == 2);
    check_refused(bench, "no-such-command");
    CHECK(bench.run("reveiw 1").out.find("did you mean review?") != std::string::npos);
    CHECK(bench.run("--version").status == 0);
}

TEST_CASE("a file that is not there, a folder, an empty file or garbage: one clear line, status 2") {
    const Bench bench;
    const Files files{bench};
    std::string garbage;
    for (int i = 0; i < 4096; ++i) garbage += static_cast<char>(i * i * 7 + i / 3);
    const std::string bad = bench.file("bad.bin", garbage), empty = bench.file("empty", "");
    for (const std::string& line : files.lines()) {
        check_refused(bench, with_file(line, (bench.folder / "not there").string()));
        check_refused(bench, with_file(line, bench.folder.string()));
        check_refused(bench, with_file(line, bad));
        check_refused(bench, with_file(line, empty));
    }
    check_refused(bench, "decode --format value-unit '" + bench.folder.string() + "'");
    check_refused(bench, "decode --format value-unit '" + (bench.folder / "not there").string() + "'");
    check_refused(bench, "decode --format no-such-format '" + files.log + "'");
    check_refused(bench, "example no-such-thing");
}

TEST_CASE("a misspelt key is named with its line and the nearest one") {
    const Bench bench;
    const Files files{bench};
    std::string text = bench.run("example job").out;
    text.replace(text.find("bore_mm"), 7, "boer_mm");
    const Ran ran = bench.run("expect '" + bench.file("slip.toml", text) + "'");
    CAPTURE(ran.out);
    CHECK(ran.status == 2);
    CHECK(ran.out.find("slip.toml:") != std::string::npos);
    CHECK(ran.out.find("boer_mm") != std::string::npos);
    CHECK(ran.out.find("bore_mm") != std::string::npos);
}

TEST_CASE("the examples are accepted as they are printed") {
    const Bench bench;
    const Files files{bench};
    CHECK(bench.run("expect '" + files.job + "' --rig '" + files.rig + "'").status == 0);
    CHECK(bench.run("expect '" + bench.file("in.toml", bench.run("example job-in").out) + "' --rig '" + files.rig + "' --json").status == 0);
    CHECK(bench.run("fit '" + bench.file("fit.toml", bench.run("example fit").out) + "'").status == 0);
    CHECK(bench.run("calibrate budget '" + bench.file("budget.toml", bench.run("example budget").out) + "'").status == 0);

    const auto list = bench.run("example");
    CHECK(list.status == 0);
    CHECK(std::count(list.out.begin(), list.out.end(), '\n') == 8);

    // A described instrument: on kept bytes, and in a rig file in place of one that has a format.
    const std::string lines = bench.file("instrument.toml", bench.run("example instrument").out);
    const auto decoded = bench.run("decode --format described --set 'file=" + lines + "' '" +
                                   bench.file("lines.bin", "S -12.5 K\r\nREADY\r\nERR0\r\nO 12.5 N\r\nS 12.5\r\n") + "'");
    CHECK(decoded.status == 0);
    CHECK(decoded.out.find(R"({"t":"reading","value":"-12.5","unit":"kgf","q":"force","stable":true})") == 0);
    CHECK(decoded.out.find(R"({"t":"fault","code":"sensor","detail":"0"})") != std::string::npos);
    CHECK(decoded.out.find(R"({"t":"fault","code":"overload","detail":"O"})") != std::string::npos);
    CHECK(decoded.out.find(R"({"t":"reject","reason":"format"})") != std::string::npos);
    const std::string registers = bench.file("registers.toml", bench.run("example instrument-registers").out);
    std::string answer("\x01\x03\x08\x01\xF4\x00\x00\x00\x01\x00\x80\xB1\xB4", 13);
    CHECK(bench.run("decode --format described --set 'file=" + registers + "' '" + bench.file("registers.bin", answer) + "'")
              .out.find(R"("value":"-50","unit":"kg")") != std::string::npos);
    std::string rig = bench.run("example rig").out;
    const std::string before = "format = \"hdr-comma\"";
    REQUIRE(rig.find(before) != std::string::npos);
    rig.replace(rig.find(before), before.size(), "format = \"described\"\noptions = { file = \"" + lines + "\" }");
    CHECK(bench.run("expect '" + files.job + "' --rig '" + bench.file("described.toml", rig) + "'").status == 0);
}

TEST_CASE("output that can't be written is a failure, not silence") {
    const Bench bench;
    CHECK(bench.run("example job > /dev/full").status == 1);
}

// What a set-up card was stays there until the new one is whole, whatever stops it: here no file may grow past half a kilobyte.
TEST_CASE("a paper that can't be written whole leaves the one before as it was") {
    const Bench bench;
    const Files files{bench};
    const std::string card = bench.file("card.svg", "the card before");
    const Ran ran = bench.run("--version >/dev/null; ulimit -f 1; trap '' XFSZ; '" HALFTURN_BUILD_DIR "/halfturn' plan '" + files.job + "' --rig '" +
                              files.rig + "' --card '" + card + "'");
    INFO(ran.out);
    CHECK(ran.status == 1);
    std::ifstream kept(card);
    CHECK(std::string(std::istreambuf_iterator<char>(kept), {}) == "the card before");
    CHECK(ran.out.find("can't write") != std::string::npos);
    CHECK(bench.run("plan '" + files.job + "' --rig '" + files.rig + "' --card '" + (bench.folder / "none/card.svg").string() + "'").status == 2);
    for (const auto& entry : std::filesystem::directory_iterator(bench.folder))
        CHECK(entry.path().string().find(".part-") == std::string::npos);
}
