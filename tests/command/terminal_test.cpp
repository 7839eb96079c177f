// What a terminal shows, however small it is: the live bench over a pseudo-terminal with a size, and the list of jobs.
#include <catch2/catch.hpp>

#include <poll.h>
#include <pty.h>
#include <signal.h>

#include <chrono>
#include <vector>

#include "core/utf8.hpp"
#include "run_halfturn.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

// A program on a terminal of its own; what it draws is taken line by line, as it homes the cursor before each picture.
class OnTerminal {
public:
    OnTerminal(unsigned short columns, unsigned short rows, std::vector<std::string> words) {
        winsize size{rows, columns, 0, 0};
        child_ = ::forkpty(&terminal_, nullptr, nullptr, &size);
        if (child_ == 0) {
            std::vector<char*> argv;
            for (std::string& word : words) argv.push_back(word.data());
            argv.push_back(nullptr);
            ::execv(argv[0], argv.data());
            ::_exit(127);
        }
        if (child_ < 0) throw std::runtime_error("no pseudo-terminal");
    }
    ~OnTerminal() {
        ::kill(child_, SIGKILL);
        ::waitpid(child_, nullptr, 0);
        ::close(terminal_);
    }
    OnTerminal(const OnTerminal&) = delete;
    OnTerminal& operator=(const OnTerminal&) = delete;

    void type(std::string_view keys) const { REQUIRE(::write(terminal_, keys.data(), keys.size()) == static_cast<ssize_t>(keys.size())); }

    // The newest whole picture that has these words, or nothing within the time.
    std::vector<std::string> picture_with(const std::string& words, int within_s) {
        const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(within_s);
        while (std::chrono::steady_clock::now() < end) {
            pollfd ready{terminal_, POLLIN, 0};
            std::array<char, 4096> block{};
            if (::poll(&ready, 1, 200) <= 0) continue;
            const ssize_t got = ::read(terminal_, block.data(), block.size());
            if (got <= 0) break;
            drawn_.append(block.data(), static_cast<std::size_t>(got));
            const std::size_t last = drawn_.rfind("\x1b[H");
            if (last == std::string::npos || last == 0) continue;
            const std::size_t first = drawn_.rfind("\x1b[H", last - 1);
            if (first == std::string::npos) continue;
            const std::string picture = drawn_.substr(first + 3, last - first - 3);
            drawn_.erase(0, last);
            if (picture.find(words) != std::string::npos) return lines_of(picture);
        }
        return {};
    }

private:
    static std::vector<std::string> lines_of(const std::string& picture) {
        std::vector<std::string> lines(1);
        for (std::size_t i = 0; i < picture.size(); ++i) {
            if (picture[i] == '\x1b') i = std::min(picture.find_first_of("KJ", i), picture.size());
            else if (picture[i] == '\n') lines.emplace_back();
            else if (picture[i] != '\r' && picture[i] != '\a') lines.back() += picture[i];
        }
        return lines;
    }

    int terminal_ = -1;
    pid_t child_ = -1;
    std::string drawn_;
};

std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += line + "\n";
    return text;
}

}  // namespace

TEST_CASE("a stop on a small terminal says what the hands do, and what to look at once unloaded") {
    const Bench bench;
    const std::string job = bench.file("job.toml", bench.run("example job").out),
                      rig = bench.file("rig.toml", bench.run("example rig").out);
    constexpr std::size_t columns_free = 60, rows = 20;
    OnTerminal terminal(columns_free, rows,
                        {HALFTURN_BUILD_DIR "/halfturn", "watch", job, "--rig", rig, "--practice", "bonded", "--brisk", "5",
                         "--store", (bench.folder / "terminal.db").string()});
    REQUIRE_FALSE(terminal.picture_with("Stack loose?", 20).empty());
    terminal.type("z");
    REQUIRE_FALSE(terminal.picture_with("Zeroed", 10).empty());
    terminal.type("b");
    const auto stop = terminal.picture_with("STOP", 40), unloaded = terminal.picture_with("Unloaded.", 40);
    for (const auto* picture : {&stop, &unloaded}) {
        INFO(joined(*picture));
        CHECK(picture->size() <= rows);
        for (const std::string& line : *picture) CHECK(columns(line) <= columns_free);
    }
    CHECK(joined(stop).find("Hands: Stop turning.") != std::string::npos);
    CHECK(joined(unloaded).find("Look at:") != std::string::npos);
    CHECK(joined(unloaded).find("clear the stop") != std::string::npos);
    terminal.type("C");
    CHECK_FALSE(terminal.picture_with("begin anew", 10).empty());
}

TEST_CASE("a job that could not be recorded says so at its end") {
    const Bench bench;
    const std::string job = bench.file("job.toml", bench.run("example job").out),
                      rig = bench.file("rig.toml", bench.run("example rig").out);
    bench.file("no-folder", "a file where the store's folder should be");
    const Ran ran = bench.run("watch '" + job + "' --rig '" + rig + "' --practice clean --brisk 5 --store '" +
                              (bench.folder / "no-folder" / "jobs.db").string() + "' < /dev/null");
    INFO(ran.out);
    CHECK(ran.out.find("This job was not recorded") != std::string::npos);
    CHECK(ran.out.find("the record is not complete") != std::string::npos);
    CHECK(ran.out.find("halfturn review") == std::string::npos);
}

TEST_CASE("a list of jobs has whole names in 80 columns, and says where a longer one is cut") {
    const Bench bench;
    const std::string jobs = HALFTURN_TESTS_DIR "/jobs/", store = " --store '" + (bench.folder / "list.db").string() + "'";
    const auto keep = [&](const std::string& item) {
        const std::string job = bench.file("job.toml", "work = \"out\"\nitem = \"" + item +
                                                        "\"\nseat = \"upper\"\nwho = \"Kim\"\nbearing = {designation = \"61902\"}\n");
        const std::string log = bench.file("log.csv", "t_s,force_N,turns\n0,0,0\n1,0,0.1\n2,500,0.2\n");
        REQUIRE(bench.run("judge '" + log + "' --job '" + job + "' --rig '" + jobs + "castor.rig.toml' --keep" + store).status != 2);
    };
    keep("castor fork 17");
    const std::string list = bench.run("review" + store).out;
    INFO(list);
    CHECK(list.find("castor fork 17  upper  Kim") != std::string::npos);
    for (std::size_t start = 0, end; (end = list.find('\n', start)) != std::string::npos; start = end + 1)
        CHECK(columns(list.substr(start, end - start)) <= 80);
    keep("front wheel of the blue chair, left");
    CHECK(bench.run("review" + store).out.find("front wheel of the blue cha…  upper") != std::string::npos);
}
