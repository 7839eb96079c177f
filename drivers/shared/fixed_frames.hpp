// Frames of one length that begin with one known byte: looks at each such byte, takes the frame when every check of the
// format holds, and otherwise steps on by a single byte, since a frame may begin inside what was refused. A byte that only
// looks like the first one never ends a frame. Not a format itself.
//
//   class MyFormat final : public FixedFrames<MyFormat> {
//   public:
//       const char* frame(std::string_view bytes, Items& items);  // nothing when taken, else the reason of refusal
//   };
#pragma once

#include <memory>
#include <string_view>

#include "core/format.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

template <class Derived>
class FixedFrames : public Decoder {
public:
    std::unique_ptr<Decoder> clone() const override { return std::make_unique<Derived>(static_cast<const Derived&>(*this)); }

    std::size_t take(std::string_view head, bool, Items& items) override {
        if (head.front() != first_) {
            // What stands between frames is told of once; line ends there belong to nobody.
            const bool line_end = head.front() == '\r' || head.front() == '\n';
            if (!line_end && !in_rubbish_) {
                add_reject(items, presync_ ? "presync" : "format");
                in_rubbish_ = true;
            }
            return 1;
        }
        if (head.size() < length_) return 0;
        const std::size_t before = items.size();
        const char* const refused = static_cast<Derived&>(*this).frame(head.substr(0, length_), items);
        if (refused) items.resize(before);
        in_rubbish_ = refused != nullptr;
        presync_ = false;
        if (!refused) return length_;
        add_reject(items, refused);
        return 1;
    }

protected:
    FixedFrames(Start start, char first, std::size_t length)
        : first_(first), length_(length), presync_(start == Start::mid_line) {}

private:
    char first_;
    std::size_t length_;
    bool presync_;
    bool in_rubbish_ = false;
};

}  // namespace halfturn
