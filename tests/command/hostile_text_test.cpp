// Words from people and files are words, wherever they go: no statement of SQL, no path, no markup, no terminal's command.
#include <catch2/catch.hpp>

#include <sys/stat.h>

#include <set>

#include "record/reader.hpp"
#include "record/store.hpp"
#include "run_halfturn.hpp"
#include "started.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

const std::string jobs = HALFTURN_TESTS_DIR "/jobs/";

struct Ended {
    int status;
    std::string out;
};

Ended run(const Bench& bench, std::vector<std::string> words, const std::filesystem::path& in = {}) {
    Started started(std::move(words), bench.folder / "streams", in);
    const int status = started.end();
    return {status, started.out()};
}

// As a TOML basic string.
std::string toml(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') (out += '\\') += c;
        else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
            constexpr char digits[] = "0123456789ABCDEF";
            out += std::string("\\u00") + digits[(c >> 4) & 0xF] + digits[c & 0xF];
        } else out += c;
    }
    return out + '"';
}

std::string job_with(const std::string& text) {
    return "work = \"out\"\nitem = " + toml(text) + "\nseat = " + toml(text) + "\nset = " + toml(text) + "\nwho = " + toml(text) +
           "\ndrift = {notes = " + toml(text) + "}"
           "\nbearing = {designation = \"61902-2RS\"}\nseat_fit = {class = \"N7\"}\nhousing = {material = \"6061-T6\", "
           "outside_diameter_mm = 40, shape = \"flush\"}\ncondition = {surface = \"dry\"}\n";
}

std::set<std::string> files_in(const std::filesystem::path& folder) {
    std::set<std::string> names;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) names.insert(entry.path().string());
    return names;
}

// A terminal acts on none of it: no control character but the end of a line, and no mark that turns the line round.
void check_calm(const std::string& out) {
    for (const char c : out) CHECK_FALSE(((static_cast<unsigned char>(c) < 0x20 && c != '\n') || c == 0x7F));
    for (const char* turns : {"\u202E", "\u2066", "\u009B", "\u2028"}) CHECK(out.find(turns) == std::string::npos);
}

mode_t rights(const std::filesystem::path& path) {
    struct stat facts {};
    REQUIRE(::stat(path.c_str(), &facts) == 0);
    return facts.st_mode & 0777;
}

}  // namespace

TEST_CASE("hostile words in every field are kept as words") {
    const Bench bench;
    const std::string store = (bench.folder / "bench.db").string(),
                      photo = bench.file("'; DROP TABLE photos;--.jpg", "\xFF\xD8\xFF picture");
    const std::string readings = bench.file("class.csv",
                                            "# capacity_N = 5000\n# resolution_N = 1\n# zero_N = 4\nseries,direction,indicated_N,reference_N\n"
                                            "1,up,1000,1004\n2,up,1000,998\n3,up,1000,1001\n");
    const std::string words[] = {"'); DROP TABLE jobs; --",
                                 "\" OR 1=1; ATTACH DATABASE 'owned.db' AS a; --",
                                 "../../../../owned",
                                 "/dev/null",
                                 "<script>alert(1)</script><img src=x onerror=alert(1)>&amp;\"'",
                                 "\x1B[2J\x1B]0;owned\x07\x1B]8;;http://x\x1B\\ \b\r over",
                                 "left \u202Eright\u2066 \u009B2J \u2028 end",
                                 "two\nlines\tand a tab",
                                 "%s%n%99999d {} $(touch owned) `touch owned`",
                                 "*' GLOB '%_[a-z]",
                                 std::string(150, 'W'),
                                 "--help"};
    std::int64_t number = 0;
    for (const std::string& text : words) {
        CAPTURE(text);
        const std::string job = bench.file("job.toml", job_with(text));
        ++number;
        const std::string id = std::to_string(number);
        const auto before = files_in(bench.folder);
        const auto judged = run(bench, {"judge", jobs + "clean-force-only-50hz.csv", "--job", job, "--rig",
                                        jobs + "castor.rig.toml", "--keep", "--store", store});
        CAPTURE(judged.out);
        REQUIRE(judged.status != 1);
        REQUIRE(judged.status != 2);
        check_calm(judged.out);
        // What can be said of a job, each as one word of the command line: an option's words may begin with a dash.
        const std::vector<std::vector<std::string>> entries = {
            {"note", id, "--who=" + text, "--", text},
            {"inspect", id, "--who=" + text, "--gauge=" + text, "--text=" + text, "--bore-mm=28", "--photo", photo},
            {"sign-off", id, "--who=" + text, "--", text},
            {"calibrate", "class7500", readings, "--keep", "--who=" + text, "--for-rig=" + text, "--channel=" + text,
             "--serial=" + text + id, "--configuration=" + text, "--reference=" + text, "--reference-certificate=" + text}};
        for (auto entry : entries) {
            entry.insert(entry.begin() + (entry[0] == "calibrate" ? 2 : 1), {"--store", store});
            const auto kept = run(bench, entry);
            CAPTURE(entry[0], kept.out);
            CHECK(kept.status == 0);
            check_calm(kept.out);
        }
        for (const std::vector<std::string>& shown :
             {std::vector<std::string>{"review", "--store", store},
              {"review", id, "--store", store},
              {"review", "--item=" + text, "--seat=" + text, "--set=" + text, "--store", store},
              {"calibrate", "certificates", "--store", store},
              {"verify", "--store", store}}) {
            const auto seen = run(bench, shown);
            CAPTURE(shown[0], seen.out);
            CHECK(seen.status != 1);
            CHECK(seen.status != 2);
            check_calm(seen.out);
        }
        // Found by these very words, and by no pattern in them.
        const auto listed = run(bench, {"review", "--item=" + text, "--seat=" + text, "--set=" + text, "--store", store, "--json"});
        const auto found = boost::json::parse(listed.out).at("jobs").as_array();
        REQUIRE(found.size() == 1);
        for (const char* key : {"item", "seat", "set", "who"}) CHECK(std::string(found[0].at(key).as_string()) == text);
        record::Store kept = record::Store::open(store, record::Mode::read);
        CHECK(static_cast<std::int64_t>(record::list_jobs(kept).size()) == number);
        CHECK(record::read_entries(kept, number).size() == 3);
        REQUIRE(static_cast<std::int64_t>(record::read_certificates(kept).size()) == number);
        CHECK(record::read_certificates(kept).front().json.size() > 200);
        // Nothing was made beside the store and its companions.
        for (const std::string& name : files_in(bench.folder))
            if (!before.contains(name)) CHECK((name.starts_with(store) || name.ends_with("/streams")));
        CHECK_FALSE(std::filesystem::exists(std::filesystem::current_path() / "owned"));
        CHECK_FALSE(std::filesystem::exists(std::filesystem::current_path() / "owned.db"));
    }
}

TEST_CASE("a store's name is a file's name, whatever SQLite or a shell would make of it") {
    const Bench bench;
    for (const std::string name : {"a'b\"c;.db", "x?mode=memory&cache=shared", "file:y.db?mode=memory", ":memory:",
                                   "two words.db", "%41#.db", "$(touch owned).db", "*.db", "-dash.db", "new\nline.db"}) {
        CAPTURE(name);
        const auto kept = run(bench,
                              {"judge", jobs + "clean-force-only-50hz.csv", "--job", jobs + "castor-out.job.toml", "--rig",
                               jobs + "castor.rig.toml", "--keep", "--store=" + name},
                              bench.folder);
        CAPTURE(kept.out);
        CHECK(kept.status != 1);
        CHECK(kept.status != 2);
        CHECK(std::filesystem::file_size(bench.folder / name) > 4096);
        CHECK(rights(bench.folder / name) == 0600);
        const auto listed = run(bench, {"review", "--json", "--store=" + name}, bench.folder);
        CHECK(boost::json::parse(listed.out).at("jobs").as_array().size() == 1);
        CHECK(run(bench, {"export", "--store-copy=copy of " + name, "--store=" + name}, bench.folder).status == 0);
        CHECK(rights(bench.folder / ("copy of " + name)) == 0600);
    }
    CHECK_FALSE(std::filesystem::exists(bench.folder / "owned"));
}

TEST_CASE("what is recorded is private to the user, even where new files usually are not") {
    const Bench bench;
    struct Mask {
        mode_t was = ::umask(0);
        ~Mask() { ::umask(was); }
    } mask;
    const auto home = bench.folder / "data";
    const std::string job = bench.file("job.toml", bench.run("example job").out),
                      rig = bench.file("rig.toml", bench.run("example rig").out);
    ::setenv("XDG_DATA_HOME", home.c_str(), 1);
    {
        Started watch({"watch", job, "--rig", rig, "--practice", "clean"}, bench.folder / "streams");
        // While it records, its companions are there too.
        for (int wait = 0; wait < 1000 && !std::filesystem::exists(home / "halfturn/halfturn.db-shm"); ++wait) watch.wait_ms(10);
        CHECK(rights(home / "halfturn/halfturn.db-wal") == 0600);
        CHECK(rights(home / "halfturn/halfturn.db-shm") == 0600);
    }
    const auto photo = bench.file("photo.jpg", "\xFF\xD8\xFF picture");
    CHECK(run(bench, {"inspect", "--item", "wheel", "--seat", "left", "--who", "Ann", "--photo", photo, "--seen", "clean"}).status == 0);
    ::unsetenv("XDG_DATA_HOME");
    for (const auto& name : files_in(home)) {
        CAPTURE(name);
        CHECK(rights(name) == (std::filesystem::is_directory(name) ? 0700 : 0600));
    }
    CHECK(rights(home) == 0700);
}
