// Plays a capture through its format as the port would: reads cut as recorded, requests in their places. Not a format itself.
#pragma once

#include <functional>
#include <string_view>

#include "core/format.hpp"
#include "files/capture_file.hpp"

namespace halfturn {

// The format of that id. Throws BadInput naming the nearest one that exists.
const Format& need_format(std::string_view id);

// What a capture's options mean for its format: options of the set-up that this format has no use for are left out, and
// "parmrk" is taken out (it belongs to the serial line, `marked`).
struct Played {
    Settings settings;
    bool marked = false;
};
Played settings_for(const Format& format, const Settings& settings, bool drop_unused);

// When there are as many requests as chunks, request i was sent before chunk i; else all were sent before the first. The end
// of the bytes counts as a time-out. Throws BadInput for settings the format can't use; with `drop_unused`, only for those
// that are no option of the contracts either.
void replay(const Capture& capture, bool drop_unused, const std::function<void(const Item&)>& sink);

}  // namespace halfturn
