// Settings: what a format can't use is refused with its name, the key and what was expected; requests come from them.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "drivers/captures.hpp"

namespace halfturn::test {
namespace {

std::string refusal(std::string_view id, const Settings& settings) {
    try {
        find_format(id)->make(settings, Start::boundary);
    } catch (const BadInput& error) {
        return error.what();
    }
    return "";
}

}  // namespace

TEST_CASE("a setting that no format knows is refused, and the nearest one named") {
    for (const Format* format : all_formats()) {
        INFO(format->id);
        const std::string why = refusal(format->id, {{"no_such_setting", "1"}});
        CHECK(mentions(why, format->id));
        CHECK(mentions(why, "no_such_setting"));
    }
    CHECK(mentions(refusal("counts-csv", {{"field", "raw"}}), "did you mean \"fields\""));
}

TEST_CASE("a value that can't be used is refused") {
    const std::vector<std::tuple<std::string, Settings, std::string>> cases = {
        {"sign-cr", {{"unit", "furlong"}}, "unit"},
        {"sign-cr", {{"decimal", "dot"}}, "decimal"},
        {"counts-csv", {{"fields", "us,row"}}, "fields"},
        {"counts-csv", {{"fields", "us,ms,raw"}}, "fields"},
        {"counts-csv", {{"fields", "us"}}, "fields"},
        {"counts-csv", {{"fields", "raw,raw"}}, "fields"},
        {"counts-csv", {{"encoding", "bcd"}}, "encoding"},
        {"axis-semi", {{"index_channel", "Q"}}, "index_channel"},
        {"axis-semi", {{"counts_per_turn", "0"}}, "counts_per_turn"},
        {"chan-prefix", {{"prefix", "A1"}}, "prefix"},
        {"id-header", {{"id", "A"}}, "id"},
        {"id-header", {{"id", "001"}}, "id"},
        {"sync24-bits", {{"layout", "c"}}, "layout"},
        {"sync24-bits", {{"unit", "kg"}}, "unit"},
        {"json-axis", {{"count_mm", "-1"}}, "count_mm"},
        {"swabc", {{"checksum", "maybe"}}, "checksum"},
        {"ask-unit", {{"compression_sign", "plus"}}, "compression_sign"},
        {"enc-dollar", {{"width_bits", "12"}}, "width_bits"},
        {"modbus-rtu", {{"type", "int16"}, {"order", "abcd"}}, "type"},
        {"modbus-rtu", {{"type", "int32"}, {"order", "acbd"}}, "order"},
        {"modbus-rtu", {{"type", "int32"}, {"order", "abcd"}, {"slave", "248"}}, "slave"},
        {"modbus-rtu", {{"type", "u17_status"}, {"order", "abcd"}, {"status_faults", "32768"}}, "status_faults"},
    };
    for (const auto& [id, settings, key] : cases) {
        const std::string why = refusal(id, settings);
        INFO(id << " " << key << ": " << why);
        CHECK(mentions(why, id));
        CHECK(mentions(why, key));
    }
}

TEST_CASE("what the wire can't tell must be set: nothing is guessed") {
    CHECK(mentions(refusal("eq-reversed", {}), "digit_order"));
    CHECK(mentions(refusal("modbus-rtu", {{"type", "int32"}}), "order"));
    CHECK(mentions(refusal("modbus-rtu", {{"order", "abcd"}}), "type"));
    CHECK(mentions(refusal("sync2x24-hex", {{"order", "abs,rel"}}), "counts_per_inch"));
    CHECK(mentions(refusal("sync2x24-hex", {{"counts_per_inch", "20480"}}), "order"));
}

TEST_CASE("requests") {
    const auto request = [](std::string_view id, const Settings& settings) { return request_for(*find_format(id), settings); };
    CHECK(request("sign-cr", {}) == "?\r");
    CHECK(request("axis-semi", {}).empty());
    CHECK(request("bare-value", {{"poll", "\\n"}}) == "\n");
    CHECK(request("scpi", {{"poll", "MEAS:FORC?\\x0A\\\\\\r\\t"}}) == "MEAS:FORC?\n\\\r\t");
    CHECK_THROWS_AS(request("scpi", {{"poll", "MEAS?\\q"}}), BadInput);
    CHECK_THROWS_AS(request("scpi", {{"poll", "MEAS?\\"}}), BadInput);
    CHECK_THROWS_AS(request("scpi", {{"poll", "\\x0"}}), BadInput);
    // Modbus over serial line, the request whose check stands in several public tests: 01 03 00 00 00 02 C4 0B.
    CHECK(request("modbus-rtu", {{"type", "int32"}, {"order", "abcd"}, {"slave", "1"}}) ==
          std::string("\x01\x03\x00\x00\x00\x02\xC4\x0B", 8));
}

}  // namespace halfturn::test
