// A pseudo-terminal that behaves like a serial port with an instrument behind it: raw from the start, and what is said
// while nobody has the port open is lost instead of waiting for a later reader.
#pragma once

#include <string>
#include <string_view>

namespace halfturn::practice {

class Pty {
public:
    Pty() = default;
    Pty(Pty&& other) noexcept;
    Pty& operator=(Pty&& other) noexcept;
    Pty(const Pty&) = delete;
    Pty& operator=(const Pty&) = delete;
    ~Pty() { close(); }

    // Throws Failure when the system gives none.
    static Pty create();

    const std::string& device() const { return device_; }
    bool has_reader() const;
    // True when a reader opened the port since the last call.
    bool reader_came();
    // Writes what the reader has room for; the rest is lost, as it would be on an overrun.
    void write(std::string_view bytes);
    // What the reader's side has sent; empty when nothing.
    std::string read();
    // Hangs up: the reader gets an end of file, as when a cable is pulled.
    void close();

private:
    int master_ = -1;
    bool had_reader_ = false;
    std::string device_;
};

}  // namespace halfturn::practice
