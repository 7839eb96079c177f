// What the kernel counted on a line goes into the record and the log, and comes back as it was.
#include <catch2/catch.hpp>

#include "core/event.hpp"
#include "core/failure.hpp"
#include "ports/log_port.hpp"

namespace halfturn::test {

TEST_CASE("counted line errors come back from their bytes and from a log") {
    const LineErrors errors{1, 2, 3, 4'000'000'000, 5};
    std::string bytes;
    append_event_bytes(Event{7, 8, LineErrorsCounted{1, errors}}, bytes);
    std::string_view rest = bytes;
    Event event;
    REQUIRE(take_event(rest, event));
    CHECK(rest.empty());
    REQUIRE(std::holds_alternative<LineErrorsCounted>(event.what));
    CHECK(std::get<LineErrorsCounted>(event.what).port == 1);
    CHECK(std::get<LineErrorsCounted>(event.what).more == errors);
    for (std::size_t size = 0; size < bytes.size(); ++size) {
        std::string_view cut = std::string_view(bytes).substr(0, size);
        CHECK_FALSE(take_event(cut, event));
    }

    SetUp set_up;
    set_up.ports.resize(1);
    set_up.ports[0].name = "force";
    const auto read = [&](const std::string& counts) {
        return events_from_json_lines(R"({"t_ms":1,"port":"force","line_errors":)" + counts + "}\n", set_up, "log");
    };
    const auto events = read(R"({"framing":1,"parity":2,"overrun":3,"buffer_overrun":4000000000,"breaks":5})");
    std::size_t found = 0;
    for (const Event& one : events)
        if (const auto* counted = std::get_if<LineErrorsCounted>(&one.what)) {
            ++found;
            CHECK(counted->more == errors);
        }
    CHECK(found == 1);
    CHECK_THROWS_AS(read(R"({"framing":1})"), BadInput);
    CHECK_THROWS_AS(read(R"({"framing":-1,"parity":2,"overrun":3,"buffer_overrun":4,"breaks":5})"), BadInput);
    CHECK_THROWS_AS(read("7"), BadInput);
}

}  // namespace halfturn::test
