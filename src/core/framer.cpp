#include "core/framer.hpp"

namespace halfturn {
namespace {

constexpr char escape_byte = '\xFF';
constexpr std::size_t compact_above_bytes = 4096;

}  // namespace

Framer::Framer(const Format& format, const Settings& settings, Start start, bool marked)
    : decoder_(format.make(settings, start)),
      format_id_(format.id),
      longest_frame_(format.longest_frame),
      marked_(marked) {}

Framer::Framer(const Framer& other)
    : decoder_(other.decoder_->clone()),
      format_id_(other.format_id_),
      longest_frame_(other.longest_frame_),
      marked_(other.marked_),
      buffer_(other.buffer_),
      start_(other.start_),
      bad_positions_(other.bad_positions_),
      escape_(other.escape_) {}

Framer& Framer::operator=(const Framer& other) {
    if (this != &other) *this = Framer(other);
    return *this;
}

void Framer::sent(std::string_view bytes) { decoder_->sent(bytes); }

void Framer::append(char byte, bool bad) {
    if (bad) bad_positions_.push_back(buffer_.size());
    buffer_.push_back(byte);
}

void Framer::feed(std::string_view bytes, const Sink& sink) {
    if (!marked_) {
        buffer_.append(bytes);
    } else {
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
    drain(false, sink);
}

void Framer::end(const Sink& sink) { drain(true, sink); }

void Framer::drain(bool ended, const Sink& sink) {
    while (start_ < buffer_.size()) {
        const std::string_view head = std::string_view(buffer_).substr(start_);
        items_.clear();
        std::size_t done = decoder_->take(head, ended, items_);
        if (done == 0) {
            if (!ended && head.size() <= longest_frame_) break;
            // No frame of this format is that long (or no more will come): step on by one byte, so that a frame which
            // begins inside the rubbish is still found.
            done = ended ? head.size() : 1;
            items_.push_back(Reject{"length"});
        }
        while (!bad_positions_.empty() && bad_positions_.front() < start_) bad_positions_.pop_front();
        const bool spoiled = !bad_positions_.empty() && bad_positions_.front() < start_ + done;
        start_ += done;
        const std::size_t after = buffer_.size() - start_;
        if (spoiled) {
            // The line said a byte in here is wrong, so nothing in here may become a number.
            sink(Item(Reject{"line_error"}), after);
            for (const Item& item : items_)
                if (const auto* fault = std::get_if<Fault>(&item); fault && !is_advisory(fault->code)) sink(item, after);
        } else {
            for (const Item& item : items_) sink(item, after);
        }
    }
    if (start_ > compact_above_bytes || start_ == buffer_.size()) {
        while (!bad_positions_.empty() && bad_positions_.front() < start_) bad_positions_.pop_front();
        for (auto& position : bad_positions_) position -= start_;
        buffer_.erase(0, start_);
        start_ = 0;
    }
}

}  // namespace halfturn
