// Frames of one length that begin with one known byte: looks at each such byte, takes the frame when every check of the
// format holds, and otherwise steps on by a single byte, since a frame may begin inside what was refused. A byte that only
// looks like the first one never ends a frame. A 7-bit instrument read as 8 bits is told. Not a format itself.
//
//   class MyFormat final : public FixedFrames<MyFormat> {
//   public:
//       const char* frame(std::string_view bytes, Items& items);  // nothing when taken, else the reason of refusal
//   };
#pragma once

#include <memory>
#include <string_view>

#include "core/format.hpp"
#include "drivers/shared/seven_bits.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

template <class Derived>
class FixedFrames : public Decoder {
public:
    std::unique_ptr<Decoder> clone() const override { return std::make_unique<Derived>(static_cast<const Derived&>(*this)); }

    std::size_t take(std::string_view head, bool, Items& items) override {
        const bool first = head.front() == first_, first_with_parity = (head.front() & 0x7F) == first_;
        if (!first && !first_with_parity) return rubbish(head, items);
        if (head.size() < length_) return 0;
        const std::string_view bytes = head.substr(0, length_);
        const std::size_t before = items.size();
        const char* const refused = first ? static_cast<Derived&>(*this).frame(bytes, items) : "format";
        if (refused) items.resize(before);
        const Parity parity = refused ? parity_of(bytes) : Parity::none;
        const bool wrong_parity = parity != Parity::none && !frame_of(without_bit_7(bytes));
        if (!refused || wrong_parity) {
            if (wrong_parity) items.push_back(wrong_line_settings(parity, wrong_parity_));
            in_rubbish_ = presync_ = false;
            return length_;
        }
        if (!first) return rubbish(head, items);
        in_rubbish_ = true;
        presync_ = false;
        add_reject(items, refused);
        return 1;
    }

protected:
    FixedFrames(Start start, char first, std::size_t length)
        : first_(first), length_(length), presync_(start == Start::mid_line) {}

private:
    // What stands between frames is told of once; line ends there belong to nobody.
    std::size_t rubbish(std::string_view head, Items& items) {
        const bool line_end = head.front() == '\r' || head.front() == '\n';
        if (!line_end && !in_rubbish_) {
            add_reject(items, presync_ ? "presync" : "format");
            in_rubbish_ = true;
        }
        return 1;
    }

    // Why such a frame would be refused, with nothing remembered.
    const char* frame_of(const std::string& bytes) const {
        Derived trial(static_cast<const Derived&>(*this));
        Items items;
        return trial.frame(bytes, items);
    }

    char first_;
    std::size_t length_;
    bool presync_;
    bool in_rubbish_ = false;
    Parity wrong_parity_ = Parity::none;  // found: the port reads a 7-bit instrument as 8 bits
};

}  // namespace halfturn
