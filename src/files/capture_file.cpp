#include "files/capture_file.hpp"

#include <boost/json.hpp>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "files/whole_file.hpp"

namespace halfturn {
namespace {

namespace json = boost::json;

class CaptureReader {
public:
    explicit CaptureReader(const std::string& path) : path_(path) {}

    Capture read() {
        if (path_.size() < 5 || path_.substr(path_.size() - 5) != ".json")
            throw BadInput(path_ + ": a capture is a file NAME.json with its bytes in NAME.bin; for a file of bare bytes give --format ID");
        Capture capture;
        capture.json = whole_file(path_);
        const std::string stem = path_.substr(0, path_.size() - 5);
        capture.name = stem.substr(stem.find_last_of('/') + 1);
        const json::object root = parse(capture.json);
        capture.driver = text(required(root, "driver"), "driver");
        if (const auto* start = root.if_contains("start")) {
            const std::string word = text(*start, "start");
            if (word != "boundary" && word != "mid-line") fail("start", "\"boundary\" or \"mid-line\"");
            capture.start = word == "boundary" ? Start::boundary : Start::mid_line;
        }
        if (const auto* options = root.if_contains("options")) {
            if (!options->is_object()) fail("options", "an object of settings");
            for (const auto& [key, value] : options->get_object())
                capture.settings[std::string(key)] = setting(value, "options." + std::string(key));
        }
        capture.bytes = whole_file(stem + ".bin", std::size_t{256} << 20);
        read_chunks(root, capture);
        if (const auto* requests = root.if_contains("requests_hex"))
            for (const auto& request : list(*requests, "requests_hex"))
                capture.requests.push_back(from_hex(text(request, "requests_hex")));
        return capture;
    }

private:
    [[noreturn]] void fail(const std::string& key, const std::string& expected) const {
        throw BadInput(path_ + ": key \"" + key + "\" must be " + expected);
    }

    json::object parse(const std::string& source) const {
        json::stream_parser parser;
        json::error_code error;
        const std::size_t used = parser.write_some(source, error);
        if (!error && used < source.size() && source.find_first_not_of(" \t\r\n", used) != std::string::npos)
            error = json::error::extra_data;
        if (!error) parser.finish(error);
        if (error) {
            std::size_t line = 1;
            for (std::size_t i = 0; i < used && i < source.size(); ++i) line += source[i] == '\n' ? 1 : 0;
            throw BadInput(path_ + ":" + std::to_string(line) + ": this is not JSON (" + error.message() + ")");
        }
        const json::value value = parser.release();
        if (!value.is_object()) throw BadInput(path_ + ": a capture is one JSON object with driver, chunks, expect …");
        return value.get_object();
    }

    const json::value& required(const json::object& root, const char* key) const {
        const auto* value = root.if_contains(key);
        if (!value) throw BadInput(path_ + ": key \"" + key + "\" is missing");
        return *value;
    }

    std::string text(const json::value& value, const std::string& key) const {
        if (!value.is_string()) fail(key, "a text");
        return std::string(value.get_string());
    }

    const json::array& list(const json::value& value, const std::string& key) const {
        if (!value.is_array()) fail(key, "a list");
        return value.get_array();
    }

    std::string setting(const json::value& value, const std::string& key) const {
        if (value.is_string()) return std::string(value.get_string());
        if (value.is_bool()) return value.get_bool() ? "true" : "false";
        if (value.is_int64()) return std::to_string(value.get_int64());
        if (value.is_double()) return number_text(value.get_double());
        if (value.is_array()) {
            std::string joined;
            for (const auto& part : value.get_array()) {
                if (part.is_array()) fail(key, "a text, a number, true, false or a list of these");
                joined += (joined.empty() ? "" : ",") + setting(part, key);
            }
            return joined;
        }
        fail(key, "a text, a number, true, false or a list of these");
    }

    void read_chunks(const json::object& root, Capture& capture) const {
        const auto* chunks = root.if_contains("chunks");
        if (!chunks) {
            capture.chunks = {capture.bytes.size()};
            return;
        }
        std::size_t sum = 0;
        for (const auto& chunk : list(*chunks, "chunks")) {
            if (!chunk.is_int64() || chunk.get_int64() < 0) fail("chunks", "a list of whole numbers, 0 or more");
            capture.chunks.push_back(static_cast<std::size_t>(chunk.get_int64()));
            if (capture.chunks.back() > capture.bytes.size() - sum)
                fail("chunks", "sizes that add up to the " + std::to_string(capture.bytes.size()) +
                                   " bytes of the .bin file; they are more");
            sum += capture.chunks.back();
        }
        if (sum != capture.bytes.size())
            fail("chunks", "sizes that add up to the " + std::to_string(capture.bytes.size()) + " bytes of the .bin file; they add up to " +
                               std::to_string(sum));
    }

    std::string from_hex(const std::string& hex) const {
        const auto digit = [&](char c) -> int {
            if (c >= '0' && c <= '9') return c - '0';
            if (c >= 'a' && c <= 'f') return c - 'a' + 10;
            if (c >= 'A' && c <= 'F') return c - 'A' + 10;
            fail("requests_hex", "hexadecimal digits, two for each byte");
        };
        if (hex.size() % 2 != 0) fail("requests_hex", "hexadecimal digits, two for each byte");
        std::string bytes;
        for (std::size_t i = 0; i < hex.size(); i += 2) bytes += static_cast<char>(digit(hex[i]) * 16 + digit(hex[i + 1]));
        return bytes;
    }

    std::string path_;
};

}  // namespace

Capture read_capture(const std::string& json_path) { return CaptureReader(json_path).read(); }

}  // namespace halfturn
