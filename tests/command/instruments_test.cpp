// halfturn instruments over pseudo-terminals: it listens without a word, ranks, asks only once a format was chosen, ends when
// told, and saves a block that the rig file's reader takes. Real time, about four seconds. A pseudo-terminal has no speed,
// parity or modem lines, so nothing is claimed about those here.
#include <catch2/catch.hpp>

#include <atomic>
#include <chrono>
#include <thread>

#include "files/rig_file.hpp"
#include "practice/pty.hpp"
#include "run_halfturn.hpp"

using namespace halfturn;
using halfturn::practice::Pty;
using halfturn::test::Bench;
using halfturn::test::Ran;

namespace {

// An instrument that says the line every 10 ms, or when it is asked, and keeps what it was asked.
class Talker {
public:
    Talker(std::string line, std::string answers_to)
        : line_(std::move(line)), answers_to_(std::move(answers_to)), thread_([this] { talk(); }) {}
    ~Talker() {
        done_ = true;
        thread_.join();
    }
    const std::string& device() const { return pty_.device(); }
    std::string asked() {
        done_ = true;
        if (thread_.joinable()) thread_.join();
        thread_ = std::thread([] {});
        return asked_;
    }

private:
    void talk() {
        while (!done_) {
            const std::string heard = pty_.read();
            asked_ += heard;
            if (answers_to_.empty() ? pty_.has_reader() : heard.find(answers_to_) != std::string::npos) pty_.write(line_);
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
        }
    }

    Pty pty_ = Pty::create();
    std::string line_, answers_to_, asked_;
    std::atomic<bool> done_ = false;
    std::thread thread_;
};

boost::json::object last_line(const std::string& out) {
    const std::size_t end = out.find_last_not_of('\n');
    const std::size_t start = out.rfind('\n', end);
    return boost::json::parse(out.substr(start + 1, end - start)).as_object();
}

std::string seven_bit_even(std::string text) {
    for (char& c : text)
        if (__builtin_popcount(static_cast<unsigned char>(c)) % 2 != 0) c = static_cast<char>(c | 0x80);
    return text;
}

}  // namespace

TEST_CASE("listening ranks what is heard, decodes it and writes nothing") {
    const Bench bench;
    Talker talker("ST,GS,+00812.5 N\r\n", "");
    const Ran ran = bench.run("instruments listen " + talker.device() + " --seconds 1.3 --json");
    CAPTURE(ran.out);
    CHECK(ran.status == 0);
    const auto summary = last_line(ran.out);
    CHECK(summary.at("fits").at(0).at("format") == "hdr-comma");
    CHECK(summary.at("readings").to_number<int>() > 3);
    CHECK(ran.out.find(R"("value":"812.5","unit":"N")") != std::string::npos);
    CHECK(talker.asked().empty());
}

TEST_CASE("a 7-bit instrument read as 8 bits is told") {
    const Bench bench;
    Talker talker(seven_bit_even("+12.345\r"), "");
    const Ran ran = bench.run("instruments listen " + talker.device() + " --seconds 0.6");
    CAPTURE(ran.out);
    CHECK(ran.status == 0);
    CHECK(ran.out.find("--bits 7 --parity even") != std::string::npos);
    CHECK(ran.out.find("sign-cr") != std::string::npos);
    CHECK(talker.asked().empty());
}

TEST_CASE("a format that is asked is asked once it is chosen, and not before") {
    const Bench bench;
    Talker talker("+12.345\r", "?\r");
    CHECK(bench.run("instruments listen " + talker.device() + " --seconds 0.3").status == 0);
    const Ran ran = bench.run("instruments settle " + talker.device() + " --format sign-cr --seconds 0.8 --json");
    CAPTURE(ran.out);
    CHECK(ran.status == 0);
    const auto channel = ran.json().at("channels").at(0);
    CHECK(channel.at("readings").to_number<int>() > 5);
    CHECK(channel.at("least_count").is_null());
    CHECK(channel.at("answer_s").to_number<double>() < 0.5);
    const std::string asked = talker.asked();
    CHECK(asked.substr(0, 2) == "?\r");
    CHECK(static_cast<int>(asked.size() / 2) >= channel.at("readings").to_number<int>());
}

TEST_CASE("Ctrl-C ends listening with its summary") {
    const Bench bench;
    Talker talker("X1234;", "");
    const std::string pid = (bench.folder / "pid").string();
    std::thread finger([&] {
        std::this_thread::sleep_for(std::chrono::milliseconds(400));
        [[maybe_unused]] const int status = std::system(("kill -INT $(cat '" + pid + "')").c_str());
    });
    const std::string command = "sh -c 'echo $$ >\"" + pid + "\"; exec \"" HALFTURN_BUILD_DIR "/halfturn\" instruments listen " +
                                talker.device() + " --json'";
    FILE* pipe = ::popen(command.c_str(), "r");
    REQUIRE(pipe);
    std::string out;
    std::array<char, 4096> block{};
    for (std::size_t got; (got = std::fread(block.data(), 1, block.size(), pipe)) > 0;) out.append(block.data(), got);
    const int status = ::pclose(pipe);
    finger.join();
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    CHECK(last_line(out).at("fits").at(0).at("format") == "axis-semi");
}

TEST_CASE("what is saved is read back as it was chosen") {
    const Bench bench;
    const std::string rig = (bench.folder / "rig.toml").string();
    const Ran force = bench.run(
        "instruments save /no/such/port --format counts-csv --set fields=us,raw --set encoding=offset24 --baud 57600 "
        "--measures force --unit counts --calibration -12.5 0.001 --capacity 5000 --readings-per-s 80 --lag 0.06 --to '" +
        rig + "'");
    CAPTURE(force.out);
    CHECK(force.status == 0);
    const Ran travel = bench.run(
        "instruments save /no/other/port --format sign-cr --set unit=mm --bits 8 --parity none --rts true --measures "
        "screw-travel --sign -1 --to '" +
        rig + "'");
    CAPTURE(travel.out);
    CHECK(travel.status == 0);
    const RigFile read = read_rig_file(rig);
    REQUIRE(read.ports.size() == 2);
    CHECK(read.ports[0].device == "/no/such/port");
    CHECK(read.ports[0].format == "counts-csv");
    CHECK(read.ports[0].settings.at("fields") == "us,raw");
    CHECK(read.ports[0].settings.at("encoding") == "offset24");
    CHECK(read.ports[0].line.baud == 57600);
    CHECK(read.ports[0].lag_s == 0.06);
    CHECK(read.channels[0].coefficients == std::vector<double>{-12.5, 0.001});
    CHECK(read.channels[0].capacity == 5000);
    CHECK(read.ports[1].line.bits == 8);
    CHECK(read.ports[1].line.parity == Parity::none);
    CHECK(read.ports[1].line.rts);
    CHECK(read.channels[1].sign == -1);
    CHECK(read.channels[1].measures == Measure::screw_travel);
    // What the reader would refuse is refused, and the file stays as it was.
    const std::string before = bench.run("instruments save /no/such/port --format sics --measures ring-travel --to '" + rig + "'").out;
    CHECK(before.find("/no/such/port") != std::string::npos);
    CHECK(bench.run("instruments save /a --format counts-csv --measures force --unit counts").status == 2);
    CHECK(bench.run("instruments save /a --format enc-trimhex --measures turns").status == 2);
    CHECK(read_rig_file(rig).ports.size() == 2);
    CHECK(bench.run("instruments save /a --measures force").status == 2);
    CHECK(bench.run("instruments listen /no/such/port --seconds 1").status == 2);
    CHECK(bench.run("instruments settle /no/such/port --seconds 1").status == 2);
}
