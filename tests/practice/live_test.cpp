// The practice rig over pseudo-terminals: the only tests here that take real time.
#include <catch2/catch.hpp>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/json.hpp>
#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "practice/pty.hpp"

using namespace halfturn::practice;

namespace {

int open_port(const std::string& device) {
    const int port = ::open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    REQUIRE(port >= 0);
    return port;
}

// All that stands ready; `ended` when the other side has hung up.
std::string read_ready(int descriptor, bool* ended = nullptr) {
    std::string bytes;
    std::array<char, 4096> buffer{};
    for (;;) {
        const ssize_t count = ::read(descriptor, buffer.data(), buffer.size());
        if (count > 0) bytes.append(buffer.data(), static_cast<std::size_t>(count));
        if (count < 0 && errno == EAGAIN) return bytes;
        if (count <= 0) {
            if (ended) *ended = true;
            return bytes;
        }
    }
}

// The program, its standard input and output.
class Program {
public:
    explicit Program(std::vector<std::string> arguments) {
        const char* folder = std::getenv("HALFTURN_BIN");
        const std::string path = std::string(folder ? folder : HALFTURN_BUILD_DIR) + "/halfturn-practice";
        arguments.insert(arguments.begin(), path);
        std::vector<char*> argv;
        for (auto& argument : arguments) argv.push_back(argument.data());
        argv.push_back(nullptr);
        std::array<int, 2> in{}, out{};
        REQUIRE(::pipe2(in.data(), O_CLOEXEC) == 0);
        REQUIRE(::pipe2(out.data(), O_CLOEXEC) == 0);
        posix_spawn_file_actions_t actions;
        ::posix_spawn_file_actions_init(&actions);
        ::posix_spawn_file_actions_adddup2(&actions, in[0], 0);
        ::posix_spawn_file_actions_adddup2(&actions, out[1], 1);
        REQUIRE(::posix_spawn(&child_, path.c_str(), &actions, nullptr, argv.data(), environ) == 0);
        ::posix_spawn_file_actions_destroy(&actions);
        ::close(in[0]);
        ::close(out[1]);
        in_ = in[1];
        out_ = out[0];
        ::fcntl(out_, F_SETFL, O_NONBLOCK);
    }
    ~Program() {
        if (child_ > 0) {
            ::kill(child_, SIGKILL);
            ::waitpid(child_, nullptr, 0);
        }
        if (in_ >= 0) ::close(in_);
        ::close(out_);
    }
    void say(const std::string& line) {
        REQUIRE(::write(in_, (line + "\n").data(), line.size() + 1) == static_cast<ssize_t>(line.size() + 1));
    }
    // The next line, or nothing yet.
    std::optional<boost::json::object> line() {
        pending_ += read_ready(out_);
        const std::size_t end = pending_.find('\n');
        if (end == std::string::npos) return {};
        const auto parsed = boost::json::parse(pending_.substr(0, end)).as_object();
        pending_.erase(0, end + 1);
        return parsed;
    }
    int close_input_and_wait() {
        ::close(std::exchange(in_, -1));
        int status = -1;
        ::waitpid(std::exchange(child_, -1), &status, 0);
        return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    }
    int output() const { return out_; }

private:
    pid_t child_ = -1;
    int in_ = -1, out_ = -1;
    std::string pending_;
};

double now_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

void wait_for(std::initializer_list<int> descriptors) {
    std::vector<pollfd> polled;
    for (const int descriptor : descriptors) polled.push_back({descriptor, POLLIN, 0});
    ::poll(polled.data(), polled.size(), 50);
}

}  // namespace

TEST_CASE("a pseudo-terminal is raw from the start and echoes nothing") {
    Pty pty = Pty::create();
    CHECK_FALSE(pty.has_reader());
    const int port = open_port(pty.device());
    CHECK(pty.reader_came());
    CHECK_FALSE(pty.reader_came());
    termios settings{};
    REQUIRE(::tcgetattr(port, &settings) == 0);
    CHECK((settings.c_lflag & (ECHO | ICANON | ISIG)) == 0);
    CHECK((settings.c_iflag & (ICRNL | IXON)) == 0);
    CHECK((settings.c_oflag & OPOST) == 0);
    pty.write("+12.34\r\n\x11\x13");
    CHECK(read_ready(port) == "+12.34\r\n\x11\x13");
    CHECK(pty.read().empty());
    REQUIRE(::write(port, "?\r", 2) == 2);
    CHECK(pty.read() == "?\r");
    ::close(port);
}

TEST_CASE("what is said while nobody listens is lost, and a reader may come back") {
    Pty pty = Pty::create();
    pty.write("too early\r\n");
    int port = open_port(pty.device());
    CHECK(read_ready(port).empty());
    ::close(port);
    CHECK_FALSE(pty.reader_came());
    pty.write("nobody there\r\n");
    port = open_port(pty.device());
    CHECK(pty.reader_came());
    pty.write("now\r\n");
    CHECK(read_ready(port) == "now\r\n");
    termios settings{};
    REQUIRE(::tcgetattr(port, &settings) == 0);
    CHECK((settings.c_lflag & ECHO) == 0);
    ::close(port);
}

TEST_CASE("a slow reader blocks nobody, a pulled cable ends the port") {
    Pty pty = Pty::create();
    const int port = open_port(pty.device());
    for (int i = 0; i < 10'000; ++i) pty.write("ST,GS,+00812.5 N\r\n");
    CHECK(read_ready(port).size() > 1000);
    pty.close();
    bool ended = false;
    read_ready(port, &ended);
    CHECK(ended);
    ::close(port);
}

TEST_CASE("run: ports, words, cable out and back, end") {
    Program program({"run", "unplugged", "--seed", "3", "--hand", "0.6", "--slack-mm", "0.1", "--port",
                     "force=hdr-comma:force", "--port", "caliper=sign-cr:screw-travel"});
    std::map<std::string, int> ports;
    std::map<std::string, std::string> heard;
    int force_devices = 0;
    bool ready = false, done = false, went = false, stopped = false, hung_up = false;
    double asked_s = 0, back_s = 0;
    std::ptrdiff_t asked = 0, answers_before = 0;
    const auto answers = [&] { return std::count(heard["caliper"].begin(), heard["caliper"].end(), '\r'); };
    const double began_s = now_s();
    while (!done && now_s() < began_s + 25) {
        wait_for({program.output(), ports.count("force") ? ports["force"] : -1});
        while (const auto line = program.line()) {
            if (line->contains("device")) {
                const std::string name(line->at("port").as_string());
                if (ports.count(name)) ::close(ports[name]);
                ports[name] = open_port(std::string(line->at("device").as_string()));
                if (name == "force" && ++force_devices == 2) back_s = now_s();
            }
            ready = ready || line->contains("ready");
            done = done || line->contains("done");
        }
        if (ready && !went) program.say("go"), went = true;
        if (back_s > 0 && !stopped && now_s() > back_s + 0.5) program.say("word stop"), stopped = true;
        for (const auto& [name, port] : ports) {
            bool ended = false;
            heard[name] += read_ready(port, &ended);
            if (ended && name == "force") hung_up = true;
        }
        // The next question waits for the answer, so that a crowded machine only makes it fewer; one that was garbled on
        // its way is asked again.
        if (ports.count("caliper") && (asked == 0 || answers() > answers_before || now_s() > asked_s + 1)) {
            ++asked;
            asked_s = now_s();
            answers_before = answers();
            REQUIRE(::write(ports["caliper"], "?\r", 2) == 2);
        }
    }
    CHECK(done);
    CHECK(hung_up);
    CHECK(force_devices == 2);
    CHECK(heard["force"].find("ST,GS,+") != std::string::npos);
    CHECK(asked > 3);
    CHECK(answers() >= asked - 2);  // one garbled by the instrument, and the last one may have been under way
    CHECK(heard["caliper"].size() <= static_cast<std::size_t>(8 * asked));
    for (const auto& [name, port] : ports) ::close(port);
    CHECK(program.close_input_and_wait() == 0);
}
