// Instrument descriptions: the ones that come along are right, wrong ones are refused by line and key, and what a job keeps
// stands by itself.
#include <catch2/catch.hpp>

#include <fstream>

#include "core/failure.hpp"
#include "drivers/captures.hpp"
#include "drivers/shared/description.hpp"

namespace halfturn::test {
namespace {

std::string refusal(std::string_view toml) {
    try {
        read_description(toml, "mine.toml");
    } catch (const BadInput& error) {
        return error.what();
    }
    return "";
}

const std::string head = "title = \"x\"\nmeasures = \"force\"\n";

}  // namespace

TEST_CASE("every description that comes along has captures") {
    CHECK(shipped_descriptions().size() >= 5);
    for (const auto& [name, text] : shipped_descriptions()) {
        INFO(name);
        CHECK_NOTHROW(read_description(text, std::string(name)));
        bool found = false;
        for (const auto& [capture, path] : captures()) {
            const auto set = capture.settings.find("instrument");
            found = found || (set != capture.settings.end() && set->second == name);
        }
        CHECK(found);
    }
}

TEST_CASE("a wrong description is refused by line and key") {
    const std::vector<std::pair<std::string, std::string>> cases = {
        {"title = ", "mine.toml:1"},
        {head, "form"},
        {head + "[[form]]\npattern = \"{value:6\"", "pattern"},
        {head + "[[form]]\npattern = \"{state:1}{value:6}\"", "words.state"},
        {head + "[[form]]\npattern = \"{channel}{value}\"", "channel"},
        {head + "[[form]]\npattern = \"{value:0}\"", "width"},
        {head + "[[form]]\npattern = \"A\"", "value"},
        {head + "[[form]]\npattern = \"{value}{value}\"", "value"},
        {head + "[[form]]\npattern = \"E\"\nfault = \"broken\"", "fault"},
        {head + "[[form]]\npattern = \"{value}\"\n[words.a]\nx = \"fine\"", "good"},
        {head + "[[form]]\npattern = \"{value}\"\n[units]\nx = \"stone\"", "unit"},
        {head + "[[form]]\npattern = \"{value}\"\ncolour = 1", "mine.toml:5"},
        {head + "unit = \"stone\"\n[[form]]\npattern = \"{value}\"", "unit"},
        {head + "[lines]\nend = \"ab\"\n[[form]]\npattern = \"{value}\"", "end"},
        {head + "[modbus]\nslave = 1", "registers"},
        {head + "[modbus]\nregisters = 2", "value"},
        {head + "[modbus]\nregisters = 2\n[[value]]\nregister = 1\ntype = \"int32\"\norder = \"abcd\"", "register"},
        {head + "[modbus]\nregisters = 2\n[[value]]\nregister = 0\ntype = \"int32\"", "order"},
        {head + "[modbus]\nregisters = 2\n[[value]]\nregister = 0\ntype = \"int8\"", "type"},
        {head +
             "[modbus]\nregisters = 2\n[[value]]\nregister = 0\ntype = \"int16\"\n[[status]]\nregister = 2\nmeans = \"overload\"",
         "register"},
    };
    for (const auto& [toml, word] : cases) {
        const std::string why = refusal(toml);
        INFO(toml << "\n-> " << why);
        CHECK(mentions(why, "mine.toml"));
        CHECK(mentions(why, word));
    }
}

TEST_CASE("a line without a value may mean a fault by one of its words, also where it is else only said") {
    const std::string words = "[words.error]\n0 = \"sensor\"\n1 = \"battery_low\"\n2 = \"good\"\n";
    const auto codes = [&](const std::string& more, std::string_view line) {
        const Description description = read_description(head + "[[form]]\npattern = \"ERR{error:1}\"\n" + more + words, "mine.toml");
        Items items;
        read_described_line(*description.lines, Unit::N, line, items);
        std::string list;
        for (const Item& item : items)
            list += std::holds_alternative<Fault>(item)  ? std::string(fault_name(std::get<Fault>(item).code)) + " "
                    : std::holds_alternative<Info>(item) ? "info "
                                                         : "reject ";
        return list;
    };
    CHECK(codes("", "ERR0") == "sensor ");
    CHECK(codes("", "ERR2") == "reject ");
    CHECK(codes("info = true\n", "ERR0") == "sensor ");
    CHECK(codes("info = true\n", "ERR1") == "info battery_low ");
    CHECK(codes("info = true\n", "ERR2") == "info ");
}

TEST_CASE("a job keeps the description itself, not the path to it") {
    const std::filesystem::path path = std::filesystem::temp_directory_path() / "halfturn_description_test.toml";
    const std::string text =
        head +
        "unit = \"N\"\nsilence_s = 3\n[serial]\nbaud = 2400\nbits = 7\nparity = \"even\"\n[poll]\nsend = \"Q\\r\"\n"
        "[[form]]\npattern = \"F={value}\"\n";
    std::ofstream(path) << text;
    const Format& format = *find_format("described");
    const Settings kept = frozen(format, {{"file", path.string()}, {"unit", "kgf"}});
    std::filesystem::remove(path);
    CHECK(kept.at("description") == text);
    CHECK(!kept.contains("file"));
    const Format used = as_set(format, kept);
    CHECK(used.line.baud == 2400);
    CHECK(used.line.parity == Parity::even);
    CHECK(used.silence_s == 3);
    CHECK(used.measures == Quantity::force);
    CHECK(request_for(format, kept) == "Q\r");

    Framer framer(format, kept, Start::boundary);
    std::vector<Item> items;
    framer.feed("F=12.5\r", [&](const Item& item, std::size_t) { items.push_back(item); });
    REQUIRE(items.size() == 1);
    CHECK(to_text(std::get<Reading>(items[0]).value) == "12.5");
    CHECK(std::get<Reading>(items[0]).unit == Unit::kgf);
}

TEST_CASE("a request of a Modbus description reads value and status together") {
    const Format& format = *find_format("described");
    CHECK(request_for(format, {{"instrument", "modbus-weight-status"}}).substr(0, 6) == std::string("\x01\x03\x00\x53\x00\x04", 6));
    CHECK(request_for(format, {{"instrument", "modbus-weight-status"}, {"slave", "7"}}).front() == '\x07');
    CHECK_THROWS_AS(format.make({}, Start::boundary), BadInput);
    CHECK_THROWS_AS(format.make({{"instrument", "modbus-wait-status"}}, Start::boundary), BadInput);
    CHECK_THROWS_AS(format.make({{"file", "/nowhere.toml"}}, Start::boundary), BadInput);
}

}  // namespace halfturn::test
