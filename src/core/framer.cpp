#include "core/framer.hpp"

#include "core/alike.hpp"

namespace halfturn {
namespace {

constexpr char escape_byte = '\xFF';

}  // namespace

Framer::Framer(const Format& format, const Settings& settings, Start start, bool marked)
    : decoder_(format.make(settings, start)),
      longest_frame_(format.longest_frame),
      marked_(marked) {}

Framer::Framer(const Framer& other)
    : decoder_(other.decoder_->clone()),
      longest_frame_(other.longest_frame_),
      marked_(other.marked_),
      buffer_(other.buffer_),
      bad_positions_(other.bad_positions_),
      escape_(other.escape_) {}

Framer& Framer::operator=(const Framer& other) {
    if (this != &other) *this = Framer(other);
    return *this;
}

void Framer::sent(std::string_view bytes) { decoder_->sent(bytes, buffer_.size()); }

void Framer::append(char byte, bool bad) {
    if (bad) bad_positions_.push_back(buffer_.size());
    buffer_.push_back(byte);
}

void Framer::append_marked(std::string_view bytes) {
    for (const char byte : bytes) {
        if (escape_ == 0) {
            if (byte == escape_byte) escape_ = 1;
            else append(byte, false);
        } else if (escape_ == 1) {
            if (byte == '\0') escape_ = 2;
            else {  // FF FF is one real FF; FF alone before anything else never happens on a real line
                escape_ = 0;
                append(escape_byte, false);
                if (byte != escape_byte) append(byte, false);
            }
        } else {
            escape_ = 0;
            append(byte, true);  // a bad byte, or the NUL of a break
        }
    }
}

void Framer::feed(std::string_view bytes, const Sink& sink) {
    const bool plain = !marked_ || (escape_ == 0 && bytes.find(escape_byte) == std::string_view::npos);
    if (plain && buffer_.empty()) {
        // What mostly comes: whole frames, read where they lie.
        bytes.remove_prefix(drain(bytes, false, sink));
        buffer_ = bytes;
        return;
    }
    if (plain) buffer_ += bytes;
    else append_marked(bytes);
    drop(drain(buffer_, false, sink));
}

void Framer::end(const Sink& sink) { drop(drain(buffer_, true, sink)); }

std::size_t Framer::drain(std::string_view unread, bool ended, const Sink& sink) {
    std::size_t taken = 0;
    while (taken < unread.size()) {
        const std::string_view head = unread.substr(taken);
        items_.clear();
        std::size_t done = decoder_->take(head, ended, items_);
        if (done == 0) {
            if (!ended && head.size() <= longest_frame_) break;
            // No frame of this format is that long (or no more will come): step on by one byte, so that a frame which
            // begins inside the rubbish is still found.
            done = ended ? head.size() : 1;
            items_.push_back(Reject{"length"});
        }
        const bool spoiled = holds_bad_byte(taken, done);
        taken += done;
        const std::size_t after = unread.size() - taken;
        if (spoiled) {
            // The line said a byte in here is wrong, so nothing in here may become a number.
            sink(Item(Reject{"line_error"}), after);
            for (const Item& item : items_)
                if (const auto* fault = std::get_if<Fault>(&item); fault && !is_advisory(fault->code)) sink(item, after);
        } else {
            for (const Item& item : items_) sink(item, after);
            if (items_.size() == 1 && bad_positions_.empty()) taken += drain_alike(unread.substr(taken - done), done, sink);
        }
    }
    return taken;
}

// What is like the frame just taken, which stands in front; how many bytes that was.
std::size_t Framer::drain_alike(std::string_view unread, std::size_t frame_size, const Sink& sink) {
    auto* reading = std::get_if<Reading>(&items_.front());
    if (!reading || !decoder_->only_value_varies()) return 0;
    const Alike alike(unread, frame_size, reading->value);
    const std::size_t before = unread.size();
    unread.remove_prefix(frame_size);
    while (alike.next(unread, reading->value)) {
        unread.remove_prefix(frame_size);
        sink(items_.front(), unread.size());
    }
    return before - frame_size - unread.size();
}

bool Framer::holds_bad_byte(std::size_t begin, std::size_t size) {
    while (!bad_positions_.empty() && bad_positions_.front() < begin) bad_positions_.pop_front();
    return !bad_positions_.empty() && bad_positions_.front() < begin + size;
}

void Framer::drop(std::size_t taken) {
    while (!bad_positions_.empty() && bad_positions_.front() < taken) bad_positions_.pop_front();
    for (auto& position : bad_positions_) position -= taken;
    buffer_.erase(0, taken);
}

}  // namespace halfturn
