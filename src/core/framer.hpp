// Turns a stream of bytes into items through one decoder. Written once for all formats: buffering, the longest frame, bad
// bytes marked by the serial line, and the proof that cutting the bytes differently changes nothing, all live here.
#pragma once

#include <cstddef>
#include <deque>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "core/format.hpp"

namespace halfturn {

class Framer {
public:
    // With `marked`, bytes come escaped by the line discipline (termios PARMRK): FF 00 x is a bad byte x, FF 00 00 a
    // break, FF FF a real FF. A frame that holds a bad byte becomes a reject, whatever the decoder made of it.
    Framer(const Format& format, const Settings& settings, Start start, bool marked = false);
    Framer(const Framer& other);
    Framer& operator=(const Framer& other);
    Framer(Framer&&) noexcept = default;
    Framer& operator=(Framer&&) noexcept = default;

    // `bytes_after`: how many of the bytes just fed arrived after the item's last byte (for its time of arrival).
    using Sink = std::function<void(const Item& item, std::size_t bytes_after)>;

    void sent(std::string_view bytes);
    void feed(std::string_view bytes, const Sink& sink);
    void end(const Sink& sink);  // nothing more will come; what is unfinished is rejected

private:
    // Takes frames off the front, as long as there are whole ones; how many bytes that were.
    std::size_t drain(std::string_view unread, bool ended, const Sink& sink);
    std::size_t drain_alike(std::string_view unread, std::size_t frame_size, const Sink& sink);
    void append(char byte, bool bad);
    void append_marked(std::string_view bytes);
    bool holds_bad_byte(std::size_t begin, std::size_t size);
    void drop(std::size_t taken);

    std::unique_ptr<Decoder> decoder_;
    std::size_t longest_frame_;
    bool marked_;
    std::string buffer_;                     // the beginning of a frame; what is whole does not stay
    std::deque<std::size_t> bad_positions_;  // in buffer_, ascending
    int escape_ = 0;                         // how many bytes of an FF 00 x escape were seen
    Items items_;
};

}  // namespace halfturn
