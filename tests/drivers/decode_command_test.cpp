// `halfturn decode` as a caller sees it.
#include <catch2/catch.hpp>

#include "run_halfturn.hpp"

namespace halfturn::test {
namespace {

const std::string folder = HALFTURN_TESTS_DIR "/captures/";

}  // namespace

TEST_CASE("decode prints one object a line, in wire order") {
    const Bench bench;
    const Ran ran = bench.run("decode " + folder + "chan-prefix/prefix_published.json");
    CHECK(ran.status == 0);
    CHECK(ran.out ==
          "{\"t\":\"reading\",\"value\":\"0.1234\",\"unit\":\"mm\",\"q\":\"length\",\"channel\":\"01\"}\n"
          "{\"t\":\"reading\",\"value\":\"-0.0018\",\"unit\":\"mm\",\"q\":\"length\",\"channel\":\"01\"}\n"
          "{\"t\":\"fault\",\"code\":\"device_error\",\"detail\":\"911\"}\n"
          "{\"t\":\"reading\",\"value\":\"123.456\",\"unit\":\"mm\",\"q\":\"length\",\"channel\":\"01\"}\n");
}

TEST_CASE("decode reads bare bytes with a format, a start and settings") {
    const Bench bench;
    const auto bytes = bench.file("bytes", "2.34 mm\r\n12,34 mm\r\n12.3");
    const Ran ran = bench.run("decode --format value-unit --start mid-line --set decimal=comma " + bytes);
    CHECK(ran.status == 0);
    CHECK(ran.out ==
          "{\"t\":\"reject\",\"reason\":\"presync\"}\n"
          "{\"t\":\"reading\",\"value\":\"12.34\",\"unit\":\"mm\",\"q\":\"length\",\"decimal_comma\":true}\n"
          "{\"t\":\"reject\",\"reason\":\"length\"}\n");
}

TEST_CASE("every setting counts, however they are given") {
    const Bench bench;
    const auto bytes = bench.file("bytes", std::string("\x01\x03\x04\x01\xF4\x00\x00\xBA\x3D", 9));
    const std::string wanted = "{\"t\":\"reading\",\"value\":\"500\",\"unit\":\"N\",\"q\":\"force\",\"order\":\"cdab\"}\n";
    for (const std::string words : {"--set type=int32 --set order=cdab --set unit=N FILE", "--set type=int32 order=cdab unit=N FILE",
                                    "FILE --set type=int32 order=cdab --set unit=N",
                                    "--set unit=kg --set=order=cdab --set unit=N --set type=int32 FILE"}) {
        INFO(words);
        std::string line = words;
        line.replace(line.find("FILE"), 4, bytes);
        const Ran ran = bench.run("decode --format modbus-rtu " + line);
        CHECK(ran.status == 0);
        CHECK(ran.out == wanted);
    }
}

TEST_CASE("true and false may be written in capitals") {
    const Bench bench;
    const std::string no_check = "\x02,0 001234000000\r", with_check = no_check + "+";
    const std::string reading = "\"value\":\"12.34\",\"unit\":\"kg\"";
    for (const auto& [word, bytes] : {std::pair("True", with_check), std::pair("FALSE", no_check), std::pair("false", no_check)})
        CHECK(bench.run("decode --format swabc --set checksum=" + std::string(word) + " " + bench.file("bytes", bytes)).out.find(reading) !=
              std::string::npos);
    const auto marked = bench.file("bytes", "+1\xFF\xFF.5\r+1.25\r");
    CHECK(bench.run("decode --format sign-cr --set parmrk=True --set unit=mm " + marked).out.find("\"1.25\"") != std::string::npos);
}

TEST_CASE("what decode can't use ends in a message and status 2") {
    const Bench bench;
    const auto bytes = bench.file("bytes", "12.34 mm\r\n");
    int number = 0;
    const auto capture = [&](const std::string& json) {
        const std::string name = "short" + std::to_string(++number);
        bench.file(name + ".bin", "12.34 mm\r\n");
        return "decode " + bench.file(name + ".json", json);
    };
    const std::vector<std::pair<std::string, std::string>> cases = {
        {"decode " + bytes, "--format"},
        {"decode " + (bench.folder / "missing.json").string(), "missing.json"},
        {"decode --format valu-unit " + bytes, "did you mean \"value-unit\""},
        {"decode --format value-unit --set unit=cm " + bytes, "unit"},
        {"decode --format value-unit --set width_bits=16 " + bytes, "width_bits"},
        {"decode --format value-unit --set decimal " + bytes, "key=value"},
        {"decode --format value-unit --start middle " + bytes, "start"},
        {"decode --format eq-reversed " + bytes, "digit_order"},
        {"decode --format sign-cr --set parmrk=yes " + bytes, "parmrk"},
        {capture("{\"driver\":\"value-unit\",\n\"chunks\":[3,}"), ".json:2"},
        {capture("[]"), "object"},
        {capture("{\"chunks\":[10]}"), "driver"},
        {capture("{\"driver\":\"nothing\"}"), "nothing"},
        {capture("{\"driver\":\"value-unit\",\"chunks\":[3]}"), "chunks"},
        {capture("{\"driver\":\"value-unit\",\"chunks\":[30]}"), "chunks"},
        {capture("{\"driver\":\"value-unit\",\"chunks\":[-1]}"), "chunks"},
        {capture("{\"driver\":\"value-unit\",\"requests_hex\":[\"0g\"]}"), "requests_hex"},
        {capture("{\"driver\":\"value-unit\",\"start\":\"end\"}"), "start"},
        {capture("{\"driver\":\"value-unit\",\"options\":[1]}"), "options"},
        {capture("{\"driver\":\"value-unit\",\"options\":{\"colour\":\"red\"}}"), "colour"},
        {capture("{\"driver\":\"value-unit\",\"options\":{\"decimal\":{}}}"), "decimal"},
    };
    for (const auto& [command, word] : cases) {
        const Ran ran = bench.run(command);
        INFO(command << ": " << ran.out);
        CHECK(ran.status == 2);
        CHECK(ran.out.find(word) != std::string::npos);
    }
}

TEST_CASE("options of the contracts that a format has no use for do not disturb a capture") {
    const Bench bench;
    bench.file("context.bin", "12.34 mm\r\n");
    const Ran ran =
        bench.run("decode " +
                  bench.file("context.json",
                             "{\"driver\":\"value-unit\",\"options\":{\"unit\":\"mm\",\"poll\":\"?\\\\r\",\"width_bits\":16}}"));
    CHECK(ran.status == 0);
    CHECK(ran.out == "{\"t\":\"reading\",\"value\":\"12.34\",\"unit\":\"mm\",\"q\":\"length\"}\n");
}

}  // namespace halfturn::test
