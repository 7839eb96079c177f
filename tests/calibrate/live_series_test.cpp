// A guided series against two instruments on pseudo-terminals, answered the way a person would: read the
// question, bring the force there, hold, press Enter.
#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <csignal>
#include <fstream>
#include <sstream>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/step_test.hpp"
#include "calibrate/stiffness.hpp"
#include "calibrate/stray_load.hpp"
#include "core/number_text.hpp"
#include "run_halfturn.hpp"

namespace {

using halfturn::test::Bench;

class PseudoTerminal {
public:
    PseudoTerminal() : master_(::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK)) {
        REQUIRE(master_ >= 0);
        REQUIRE(::grantpt(master_) == 0);
        REQUIRE(::unlockpt(master_) == 0);
        device_ = ::ptsname(master_);
        termios raw{};
        ::tcgetattr(master_, &raw);
        ::cfmakeraw(&raw);
        ::tcsetattr(master_, TCSANOW, &raw);
    }
    ~PseudoTerminal() { ::close(master_); }
    PseudoTerminal(const PseudoTerminal&) = delete;
    PseudoTerminal& operator=(const PseudoTerminal&) = delete;
    const std::string& device() const { return device_; }
    void write(const std::string& text) { (void)!::write(master_, text.data(), text.size()); }

private:
    int master_;
    std::string device_;
};

// halfturn as a child with both its ends in our hands.
class Child {
public:
    explicit Child(const std::vector<std::string>& arguments) {
        int in[2], out[2];
        REQUIRE(::pipe(in) == 0);
        REQUIRE(::pipe(out) == 0);
        pid_ = ::fork();
        if (pid_ == 0) {
            ::dup2(in[0], 0);
            ::dup2(out[1], 1);
            ::dup2(out[1], 2);
            for (const int fd : {in[0], in[1], out[0], out[1]}) ::close(fd);
            std::vector<char*> argv;
            static std::string program = HALFTURN_BUILD_DIR "/halfturn";
            argv.push_back(program.data());
            for (const auto& a : arguments) argv.push_back(const_cast<char*>(a.c_str()));
            argv.push_back(nullptr);
            ::execv(program.c_str(), argv.data());
            ::_exit(127);
        }
        ::close(in[0]);
        ::close(out[1]);
        in_ = in[1];
        out_ = out[0];
    }
    ~Child() {
        ::close(in_);
        ::close(out_);
        if (!done_) {
            ::kill(pid_, SIGKILL);
            ::waitpid(pid_, nullptr, 0);
        }
    }
    void type(const std::string& text) { (void)!::write(in_, text.data(), text.size()); }
    // What it has said within the time; ended() tells when it is gone.
    std::string listen(int ms) {
        pollfd wait{out_, POLLIN, 0};
        if (::poll(&wait, 1, ms) <= 0) return {};
        char block[4096];
        const ssize_t got = ::read(out_, block, sizeof block);
        if (got <= 0) ended_ = true;
        return got > 0 ? std::string(block, static_cast<std::size_t>(got)) : std::string();
    }
    bool ended() const { return ended_; }
    int status() {
        int status = 0;
        ::waitpid(pid_, &status, 0);
        done_ = true;
        return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    }

private:
    pid_t pid_ = -1;
    int in_ = -1, out_ = -1;
    bool ended_ = false, done_ = false;
};

std::string force_line(double force_N) {
    const std::string digits = halfturn::fixed_text(force_N, 1);
    return "ST,GS,+" + std::string(7 - digits.size(), '0') + digits + "  N\r\n";
}

std::string travel_line(double travel_mm) { return halfturn::fixed_text(travel_mm, 3) + " mm\r\n"; }

// The number before " N" in the newest question.
double asked_N(const std::string& question) {
    const auto unit = question.rfind(" N");
    if (unit == std::string::npos) return 0;
    const auto start = question.rfind(' ', unit - 1) + 1;
    return halfturn::parse_number(question.substr(start, unit - start)).value_or(0);
}

}  // namespace

TEST_CASE("a guided blocked pull, from questions to stiffness") {
    const Bench bench;
    PseudoTerminal force, travel;
    const std::string rig =
        bench.file("rig.toml",
                   "name = \"bench\"\n[screw]\nthread = \"M8\"\n[press]\nforce_limit_N = 5000\n"
                   "[[port]]\nname = \"force\"\ndevice = \"" +
                       force.device() +
                       "\"\nformat = \"hdr-comma\"\n"
                       "[[port]]\nname = \"caliper\"\ndevice = \"" +
                       travel.device() +
                       "\"\nformat = \"value-unit\"\n"
                       "[[channel]]\nport = \"force\"\nmeasures = \"force\"\n[[channel]]\nport = "
                       "\"caliper\"\nmeasures = \"screw-travel\"\n");
    const std::string out = (bench.folder / "pull.csv").string();
    Child child({"calibrate", "series", "stiffness", "--rig", rig, "--out", out, "--capacity", "4000",
                 "--points", "5", "--steady", "0.2"});
    double force_N = 0;
    std::string said, question;
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(20);
    bool over_once = false;
    while (!child.ended() && std::chrono::steady_clock::now() < end) {
        force.write(force_line(force_N));
        travel.write(travel_line(1 + force_N / 20000 + 0.02 * (1 - std::exp(-force_N / 100))));
        const std::string heard = child.listen(15);
        said += heard;
        question += heard;
        if (question.find("STOP") != std::string::npos) over_once = true;
        const auto start = question.find('[');
        if (start == std::string::npos || question.find('\n', start) == std::string::npos) continue;
        // Once on the way, go over the limit: it must say stop, at once.
        if (!over_once && question.find("[4/") != std::string::npos) {
            force_N = 5600;
            continue;
        }
        force_N = question.find("loose") != std::string::npos
                      ? 0
                      : asked_N(question.substr(start, question.find('\n', start) - start));
        question.clear();
        child.type("\n");
    }
    INFO(said);
    REQUIRE(child.ended());
    CHECK(child.status() == 0);
    CHECK(over_once);
    CHECK(said.find("All steps done") != std::string::npos);
    const auto table = halfturn::calibrate::CsvReadings::from_file(out);
    REQUIRE(table.rows() == 9);
    CHECK(table.numbers("force_N") ==
          std::vector<double>{800, 1600, 2400, 3200, 4000, 3200, 2400, 1600, 800});
    const auto result = halfturn::calibrate::fit_stiffness(halfturn::calibrate::read_blocked_pull(table));
    CHECK(result.N_per_mm == Approx(20000).epsilon(0.01));
    CHECK(bench.run("calibrate stiffness " + out).status == 0);
}

TEST_CASE("a guided series refuses what can't go well, before anything is asked") {
    const Bench bench;
    const std::string rig =
        bench.file("rig.toml",
                   "name = \"bench\"\n[press]\nforce_limit_N = 5000\n[[port]]\nname = \"force\"\ndevice = "
                   "\"/dev/none\"\n"
                   "format = \"hdr-comma\"\n[[channel]]\nport = \"force\"\nmeasures = \"force\"\n");
    const auto out = bench.folder / "f.csv";
    const std::string call = "calibrate series force --rig " + rig + " --out " + out.string();
    CHECK(bench.run(call + " --capacity 6000").status == 2);  // above the rig's limit
    CHECK(bench.run("calibrate series stiffness --rig " + rig + " --out " + out.string() + " --capacity 4000")
              .status == 2);                                  // no travel
    CHECK(bench.run(call + " --capacity 4000").status == 1);  // no such port
    CHECK_FALSE(std::filesystem::exists(out));
}

TEST_CASE("a rig whose bridge board counts gets newtons from its certificate") {
    const Bench bench;
    PseudoTerminal force, travel;
    const std::string store = (bench.folder / "s.db").string();
    std::string readings = "# capacity_N = 5000\n# resolution = 1\nindicated,reference_N\n";
    for (int i = 1; i <= 8; ++i)
        readings += std::to_string(50000 * i) + "," + std::to_string(500 * i + 7) + "\n";
    const auto kept =
        bench
            .run("calibrate force " + bench.file("f.csv", readings) +
                 " --json --keep --who A --for-rig bench --reference R --date 2020-01-01 --store " + store)
            .json();
    const std::string id(kept.at("certificate").as_string());
    const std::string rig = bench.file(
        "rig.toml",
        "name = \"bench\"\n[[port]]\nname = \"force\"\ndevice = \"" + force.device() +
            "\"\nformat = \"counts-csv\"\n"
            "options = { fields = \"raw\" }\n"
            "[[port]]\nname = \"caliper\"\ndevice = \"" +
            travel.device() +
            "\"\nformat = \"value-unit\"\n"
            "[[channel]]\nport = \"force\"\nmeasures = \"force\"\nunit = \"counts\"\ncalibration = \"" +
            id +
            "\"\n"
            "[[channel]]\nport = \"caliper\"\nmeasures = \"screw-travel\"\n");
    const std::string out = (bench.folder / "pull.csv").string();
    Child child({"calibrate", "series", "stiffness", "--rig", rig, "--out", out, "--capacity", "2000",
                 "--points", "5", "--steady", "0.2", "--store", store});
    child.type("s\ns\n\nq\n");  // past the preload, one reading, end
    std::string said;
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(10);
    while (!child.ended() && std::chrono::steady_clock::now() < end) {
        force.write("40000\r\n");
        travel.write(travel_line(1.5));
        said += child.listen(15);
    }
    INFO(said);
    REQUIRE(child.ended());
    CHECK(child.status() == 0);
    CHECK(said.find("expired on 2021-01-01") != std::string::npos);
    const auto table = halfturn::calibrate::CsvReadings::from_file(out);
    CHECK(table.numbers("force_N").at(0) == Approx(407));
    CHECK(table.numbers("travel_mm").at(0) == 1.5);
}

namespace {

std::string rig_of(const std::string& ports) {
    return "name = \"bench\"\n[screw]\nthread = \"M8\"\n[press]\nforce_limit_N = 5000\n" + ports;
}

std::string port_of(const std::string& name, const PseudoTerminal& terminal, const std::string& format, const std::string& measures) {
    return "[[port]]\nname = \"" + name + "\"\ndevice = \"" + terminal.device() + "\"\nformat = \"" + format +
           "\"\n[[channel]]\nport = \"" + name + "\"\nmeasures = \"" + measures + "\"\n";
}

}  // namespace

TEST_CASE("a guided eccentric-load series, from questions to the cell's swing") {
    const Bench bench;
    PseudoTerminal cell, reference;
    const std::string rig = bench.file("rig.toml", rig_of(port_of("force", cell, "hdr-comma", "force")));
    const std::string other = bench.file("ref.toml", rig_of(port_of("reference", reference, "hdr-comma", "force")));
    const std::string out = (bench.folder / "e.csv").string();
    Child child({"calibrate", "series", "eccentric", "--rig", rig, "--reference-rig", other, "--out", out, "--capacity", "3000",
                 "--amount", "12", "--runs", "1", "--steady", "0.2"});
    double force_N = 0, angle = -1;
    std::string said, question;
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(30);
    while (!child.ended() && std::chrono::steady_clock::now() < end) {
        const double swing = angle < 0 ? 0 : 0.0006 * 12 * std::cos((angle - 90) * 3.14159265358979 / 180);
        cell.write(force_line(force_N * (1 + swing)));
        reference.write(force_line(force_N));
        const std::string heard = child.listen(15);
        said += heard;
        question += heard;
        const auto start = question.find('[');
        if (start == std::string::npos || question.find('\n', start) == std::string::npos) continue;
        const std::string line = question.substr(start, question.find('\n', start) - start);
        question.clear();
        force_N = line.find("loose") != std::string::npos ? 0 : 3000;
        if (line.find("on the axis") != std::string::npos) angle = -1;
        if (const auto at = line.find(", at "); at != std::string::npos)
            angle = halfturn::parse_number(line.substr(at + 5, line.find(" degrees") - at - 5)).value_or(-1);
        child.type("\n");
    }
    INFO(said);
    REQUIRE(child.ended());
    CHECK(child.status() == 0);
    const auto result = halfturn::calibrate::calibrate_stray(
        halfturn::calibrate::read_stray_test(halfturn::calibrate::Stray::eccentric, halfturn::calibrate::CsvReadings::from_file(out)));
    CHECK(result.per_unit == Approx(0.06).epsilon(0.01));
    CHECK(result.direction_deg == Approx(90).margin(1));
    CHECK(bench.run("calibrate eccentric " + out).status == 0);
}

TEST_CASE("a guided lag series says now, and finds how late the caliper is") {
    const Bench bench;
    PseudoTerminal force, travel;
    const std::string rig = bench.file("rig.toml", rig_of(port_of("force", force, "hdr-comma", "force") +
                                                          port_of("caliper", travel, "value-unit", "screw-travel")));
    const std::string out = (bench.folder / "lag.csv").string();
    Child child({"calibrate", "series", "lag", "--rig", rig, "--out", out, "--capacity", "4000", "--jerks", "2", "--steady", "0.5"});
    using Clock = std::chrono::steady_clock;
    const auto began = Clock::now();
    const auto now_s = [&] { return std::chrono::duration<double>(Clock::now() - began).count(); };
    constexpr double late_s = 0.2;
    double from_N = 0, to_N = 2000, jerked_s = -10;
    const auto force_at = [&](double t_s) { return t_s < jerked_s ? from_N : to_N; };
    std::string said, heard;
    int jerks = 0;
    child.type("\n\n\n\n");   // typed ahead: waits for the step before it
    while (!child.ended() && now_s() < 30) {
        const double t = now_s();
        force.write(force_line(force_at(t)));
        travel.write(travel_line(1 + force_at(t - late_s) / 10000));
        const std::string news = child.listen(10);
        said += news;
        heard += news;
        if (heard.find("NOW") != std::string::npos) {
            heard.clear();
            from_N = to_N, to_N = ++jerks % 2 == 1 ? 4000 : 2000, jerked_s = t + 0.3;
        }
    }
    INFO(said);
    REQUIRE(child.ended());
    CHECK(child.status() == 0);
    CHECK(jerks == 2);
    const auto lags = halfturn::calibrate::lags_of(halfturn::calibrate::read_step_tests(halfturn::calibrate::CsvReadings::from_file(out)));
    REQUIRE(lags.size() == 2);
    CHECK(lags[0].channel == "force");
    CHECK(lags[1].channel == "screw-travel");
    CHECK(lags[1].steps == 2);
    CHECK(lags[1].lag.s == Approx(late_s).margin(0.05));
    CHECK(bench.run("calibrate lag " + out).status == 0);
}
