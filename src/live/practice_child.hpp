// The practice rig as a child process: its instruments appear as pseudo-terminals, its hand obeys the word on the screen.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include <sys/types.h>

#include "core/set_up.hpp"

namespace halfturn::live {

class PracticeChild {
public:
    // Starts `halfturn-practice` from beside this program for the rig's ports. Throws BadInput for a rig it can't stand in
    // for, Failure when it can't be started.
    // `undisturbed`: the port of a reference cell, which feels no load beside its axis; empty: none.
    PracticeChild(const SetUp& set_up, const std::string& scenario, std::uint64_t seed, double brisk, const std::string& undisturbed = "");
    ~PracticeChild();
    PracticeChild(const PracticeChild&) = delete;
    PracticeChild& operator=(const PracticeChild&) = delete;

    int output() const { return from_child_; }  // lines of JSON; feed them to take()
    void say(const std::string& line);          // "go", "word stop", "to 2000", "jerk 2000", "stray eccentric 12 90", "quit"

    struct News {
        enum class What { device, ready, done } what;
        std::string port, device;
    };
    std::vector<News> take(std::string_view bytes);

private:
    pid_t child_ = -1;
    int to_child_ = -1, from_child_ = -1;
    std::string unread_;
};

// What the rig's ports are called and measure, for the practice rig's --port.
std::vector<std::string> practice_ports(const SetUp& set_up);

}  // namespace halfturn::live
