#include "live/practice_child.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "files/sibling_program.hpp"

namespace halfturn::live {
namespace {

// The text of a string member in one flat JSON object of the practice rig's making.
std::string member(const std::string& line, const std::string& key) {
    const auto at = line.find("\"" + key + "\":");
    if (at == std::string::npos) return {};
    const auto open = line.find('"', at + key.size() + 3);
    const auto close = open == std::string::npos ? open : line.find('"', open + 1);
    return close == std::string::npos ? std::string() : line.substr(open + 1, close - open - 1);
}

std::string format_options(const SetUp& set_up, const PortSetUp& port, const ChannelSetUp& channel) {
    std::string options;
    const auto add = [&](const std::string& key, const std::string& value) { options += "," + key + "=" + value; };
    if (channel.sign < 0) add("sign", "-1");
    if (channel.readings_per_s > 0) add("rate_hz", number_text(channel.readings_per_s));
    if (port.format == "counts-csv" && channel.coefficients.size() >= 2 && channel.coefficients[1] != 0) {
        add("gain", number_text(channel.coefficients[1]));
        add("offset", number_text(-channel.coefficients[0] / channel.coefficients[1]));
    }
    if (port.format == "axis-semi") {
        add("counts_per_turn", number_text(channel.counts_per_turn));
        if (!channel.index.empty()) add("axis", channel.index);
    }
    if (port.format == "hdr-comma" && channel.unit != Unit::none) add("unit", std::string(unit_name(channel.unit)));
    if (port.format == "hdr-comma" && channel.capacity > 0) add("capacity_N", number_text(channel.capacity));
    if ((port.format == "value-unit" || port.format == "sign-cr") && channel.unit != Unit::none)
        add("unit", std::string(unit_name(channel.unit)));
    if (port.format == "sign-cr" && port.settings.contains("poll") && port.settings.at("poll") == "none") add("mode", "stream");
    if (port.format == "counts-csv")
        if (const auto fields = port.settings.find("fields"); fields != port.settings.end()) add("fields", fields->second);
    (void)set_up;
    return options;
}

}  // namespace

std::vector<std::string> practice_ports(const SetUp& set_up) {
    std::vector<std::string> ports;
    for (std::size_t i = 0; i < set_up.ports.size(); ++i) {
        const ChannelSetUp* only = nullptr;
        for (const ChannelSetUp& channel : set_up.channels) {
            if (channel.port != i) continue;
            if (only)
                throw BadInput("the practice rig has one instrument on each port, but \"" + set_up.ports[i].name +
                               "\" carries two; practise with the rig of `halfturn example rig`");
            only = &channel;
        }
        if (!only) continue;
        ports.push_back(set_up.ports[i].name + "=" + set_up.ports[i].format + ":" + std::string(measure_name(only->measures)) +
                        format_options(set_up, set_up.ports[i], *only));
    }
    if (ports.empty()) throw BadInput("this rig file has no instruments to practise with; use the rig of `halfturn example rig`");
    return ports;
}

PracticeChild::PracticeChild(const SetUp& set_up, const std::string& scenario, std::uint64_t seed, double brisk,
                             const std::string& undisturbed) {
    std::vector<std::string> words = {beside_this_program("halfturn-practice"), "run", scenario, "--seed", std::to_string(seed),
                                      "--brisk", number_text(brisk)};
    if (set_up.pitch_mm > 0) {
        words.push_back("--pitch-mm");
        words.push_back(number_text(set_up.pitch_mm));
    }
    for (const auto& port : practice_ports(set_up)) {
        words.push_back("--port");
        words.push_back(port + (!undisturbed.empty() && port.starts_with(undisturbed + "=") ? ",feels_stray=0" : ""));
    }
    std::vector<char*> argv;
    for (auto& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);

    int in[2], out[2];
    if (::pipe2(in, O_CLOEXEC) != 0 || ::pipe2(out, O_CLOEXEC) != 0)
        throw Failure(std::string("can't start the practice rig: ") + std::strerror(errno));
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, in[0], 0);
    posix_spawn_file_actions_adddup2(&actions, out[1], 1);
    // Nothing else is its business: ports and pages' connections that another thread is opening right now among it.
    posix_spawn_file_actions_addclosefrom_np(&actions, 3);
    posix_spawnattr_t attributes;
    posix_spawnattr_init(&attributes);
    // Its own process group: Ctrl-C at the keyboard ends the job here first, and the rig after it.
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP);
    posix_spawnattr_setpgroup(&attributes, 0);
    const int error = ::posix_spawn(&child_, words[0].c_str(), &actions, &attributes, argv.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    posix_spawnattr_destroy(&attributes);
    ::close(in[0]);
    ::close(out[1]);
    to_child_ = in[1];
    from_child_ = out[0];
    if (error != 0)
        throw Failure(words[0] + " can't be started: " + std::strerror(error) +
                      "; build it with `cmake --build DIR --target halfturn`");
}

PracticeChild::~PracticeChild() {
    say("quit");
    ::close(to_child_);
    ::close(from_child_);
    if (child_ > 0) {
        ::kill(child_, SIGTERM);
        ::waitpid(child_, nullptr, 0);
    }
}

void PracticeChild::say(const std::string& line) {
    const std::string text = line + "\n";
    // A practice rig that has gone is noticed by its ports; there is nothing to do about it here.
    [[maybe_unused]] const ssize_t count = ::write(to_child_, text.data(), text.size());
}

std::vector<PracticeChild::News> PracticeChild::take(std::string_view bytes) {
    std::vector<News> news;
    unread_ += bytes;
    for (std::size_t end; (end = unread_.find('\n')) != std::string::npos; unread_.erase(0, end + 1)) {
        const std::string line = unread_.substr(0, end);
        if (line.find("\"ready\"") != std::string::npos) news.push_back({News::What::ready, {}, {}});
        else if (line.find("\"done\"") != std::string::npos) news.push_back({News::What::done, {}, {}});
        else if (const std::string device = member(line, "device"); !device.empty())
            news.push_back({News::What::device, member(line, "port"), device});
    }
    return news;
}

}  // namespace halfturn::live
