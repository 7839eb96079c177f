// The terminal as a live screen: keys one at a time without echo, the alternate screen, and everything put back at the end,
// also after a signal.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace halfturn::command {

class LiveTerminal {
public:
    LiveTerminal();   // does nothing when standard input or output is no terminal
    ~LiveTerminal();
    LiveTerminal(const LiveTerminal&) = delete;
    LiveTerminal& operator=(const LiveTerminal&) = delete;

    bool has_keys() const { return keys_; }      // standard input is a terminal
    bool has_screen() const { return screen_; }  // standard output is a terminal
    void size(std::size_t& columns, std::size_t& rows) const;
    void draw(const std::vector<std::string>& lines);
    void bell();

private:
    struct Saved;
    Saved* saved_ = nullptr;
    bool keys_ = false, screen_ = false;
};

}  // namespace halfturn::command
