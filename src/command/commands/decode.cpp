// halfturn decode: what an instrument's bytes mean, one JSON object a line, in the order they stand on the wire.
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "command/instruments.hpp"
#include "core/failure.hpp"
#include "core/item_json.hpp"
#include "drivers/shared/replay.hpp"
#include "files/capture_file.hpp"
#include "files/whole_file.hpp"

namespace halfturn::command {
namespace {

constexpr std::size_t most_bytes = std::size_t{256} << 20;
constexpr std::size_t print_at_bytes = std::size_t{1} << 16;

struct Choices {
    std::string file, format, start = "boundary";
    std::vector<std::string> set;
    bool json = true;
};

Capture bare_bytes(const Choices& choices) {
    Capture capture;
    capture.driver = need_format(choices.format).id;
    capture.settings = settings_from(choices.set);
    capture.start = choices.start == "mid-line" ? Start::mid_line : Start::boundary;
    capture.bytes = whole_file(choices.file, most_bytes);
    capture.chunks = {capture.bytes.size()};
    return capture;
}

void run(const Choices& choices) {
    if (choices.format.empty() && !choices.set.empty())
        throw BadInput("--set goes with --format ID; a capture carries its own options");
    const Capture capture = choices.format.empty() ? read_capture(choices.file) : bare_bytes(choices);
    const bool drop_unused = choices.format.empty();
    const Format& listed = need_format(capture.driver);
    const Format format = as_set(listed, settings_for(listed, capture.settings, drop_unused).settings);
    std::string out;
    replay(capture, drop_unused, [&](const Item& item) {
        out += item_json(item, format) + "\n";
        if (out.size() < print_at_bytes) return;
        print(out);
        out.clear();
    });
    print(out);
}

void add_decode(CLI::App* decode, Status&) {
    auto choices = std::make_shared<Choices>();
    decode->add_option("FILE", choices->file, "A capture NAME.json (bytes in NAME.bin), or with --format a file of bare bytes")
        ->required();
    decode->add_option("--format", choices->format, "Id of the wire format of a file of bare bytes, as value-unit");
    decode->add_option("--start", choices->start, "Where the first byte stands: boundary (a frame begins) or mid-line")
        ->check(CLI::IsMember({"boundary", "mid-line"}));
    add_set_option(*decode, choices->set, "A setting of the format, as --set unit=mm; may be repeated");
    decode->add_flag("--json", choices->json, "One JSON object a line (there is no other form)");
    decode->callback([choices] { run(*choices); });
}

}  // namespace

extern const Command command_decode;
const Command command_decode{"decode", "Show what an instrument's bytes mean, one JSON object a line", add_decode};

}  // namespace halfturn::command
