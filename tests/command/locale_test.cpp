// Numbers are read and written the same whatever the user's locale: a comma locale once turned somebody's scale factor into 0.
// The rooms are tried with such a locale set in this process, as a library that sets one would; the programs with one in
// their environment.
#include <catch2/catch.hpp>

#include <clocale>
#include <cstdlib>
#include <locale>
#include <sstream>

#include "calibrate/csv_readings.hpp"
#include "core/number_text.hpp"
#include "curve/frozen_set_up.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "files/set_up_json.hpp"
#include "files/whole_file.hpp"
#include "plan/plan.hpp"
#include "ports/log_port.hpp"
#include "run_halfturn.hpp"
#include "watch/judge.hpp"
#include "watch/judgement_json.hpp"

using namespace halfturn;
using halfturn::test::Bench;

namespace {

constexpr const char* german = "de_DE.UTF-8";

// Debian's bare image has no such locale; it is made for these tests alone, from the sources that the package `locales` has.
class CommaLocale {
public:
    explicit CommaLocale(const Bench& bench) {
        const std::string make = "localedef -i de_DE -f UTF-8 '" + (bench.folder / german).string() + "' >/dev/null 2>&1";
        made_ = std::system(make.c_str()) == 0;
        if (!made_) WARN("no comma locale can be made here (install the package locales): the programs are not tried under one");
        folder_ = bench.folder.string();
    }
    ~CommaLocale() {
        leave();
        std::setlocale(LC_ALL, "C");
        std::locale::global(std::locale::classic());
    }
    CommaLocale(const CommaLocale&) = delete;
    CommaLocale& operator=(const CommaLocale&) = delete;

    bool made() const { return made_; }
    void for_programs() const {
        ::setenv("LOCPATH", folder_.c_str(), 1);
        ::setenv("LC_ALL", german, 1);
    }
    void leave() const {
        ::unsetenv("LOCPATH");
        ::unsetenv("LC_ALL");
    }
    // The C library's and the C++ library's, for this process. The latter works on any machine.
    void for_this_process() const {
        struct Comma : std::numpunct<char> {
            char do_decimal_point() const override { return ','; }
            char do_thousands_sep() const override { return '.'; }
            std::string do_grouping() const override { return "\3"; }
        };
        if (made_) {
            for_programs();
            REQUIRE(std::setlocale(LC_ALL, german) != nullptr);
            CHECK(std::strtod("1,5", nullptr) == 1.5);  // it is one indeed
            leave();
        }
        std::locale::global(std::locale(std::locale::classic(), new Comma));
        std::ostringstream text;
        text << 1234.5;
        CHECK(text.str() == "1.234,5");
    }

private:
    std::string folder_;
    bool made_ = false;
};

// What the rooms make of the same files, as one text.
std::string worked_out(const Bench& bench) {
    const std::string jobs = HALFTURN_TESTS_DIR "/jobs/";
    std::string all;
    const JobFile job = read_job_text(bench.run("example job").out, "job");
    RigFile rig = read_rig_text(bench.run("example rig").out, "rig");
    const auto inventory = plan::read_inventory_text(bench.run("example inventory").out, "inventory");
    const auto plan = plan::make_plan(job, &rig, inventory, 1);
    all += plan::plan_json(plan) + plan::plan_text(plan);

    CsvLog log = read_csv_log(whole_file(jobs + "clean-straight-100hz.csv"), "log");
    RigFile bare = read_rig_file(jobs + "castor.rig.toml");
    bare.ports = {log.port};
    bare.channels = log.channels;
    const auto frozen = curve::freeze(read_job_file(jobs + "castor-out.job.toml"), bare, 1);
    const std::string kept = set_up_json(frozen.set_up);
    all += kept + set_up_json(set_up_from_json(kept, "kept"));
    Judge judge(frozen.set_up);
    log.for_each_event([&](const Event& event) { judge.on(event); });
    all += judgement_json(judge.judgement(), frozen.set_up, "1", 2);

    const auto readings = calibrate::CsvReadings::from_text("x,y\n1.5,2.25\n2.5,1234.5\n", "readings");
    return all + number_text(readings.numbers("y").at(1)) + fixed_text(1234.5678, 3) + number_text(*parse_number("0.625"));
}

}  // namespace

TEST_CASE("a comma locale in this process changes nothing that the rooms read or write") {
    const Bench bench;
    const CommaLocale locale(bench);
    const std::string plain = worked_out(bench);
    CHECK(plain.size() > 10'000);
    locale.for_this_process();
    CHECK(worked_out(bench) == plain);
}

TEST_CASE("a comma locale in the environment changes no program's output") {
    const Bench bench;
    const CommaLocale locale(bench);
    const std::string job = "'" + bench.file("job.toml", bench.run("example job").out) + "'",
                      rig = "'" + bench.file("rig.toml", bench.run("example rig").out) + "'",
                      inventory = "'" + bench.file("inventory.toml", bench.run("example inventory").out) + "'",
                      log = "'" HALFTURN_TESTS_DIR "/jobs/clean-straight-100hz.csv'",
                      of_log = " --job '" HALFTURN_TESTS_DIR "/jobs/castor-out.job.toml' --rig '" HALFTURN_TESTS_DIR
                               "/jobs/castor.rig.toml'",
                      store = " --store '" + (bench.folder / "bench.db").string() + "'",
                      line = bench.file("line.csv", "x,y,u_y\n1,3.3,0.5\n2,5.6,0.5\n3,7.1,0.5\n4,9.3,0.5\n"),
                      force = bench.file(
                          "force.csv",
                          "# capacity_N = 5000\n# resolution_N = 1.5\n# zero_N = 4.25\nseries,direction,indicated_N,reference_N\n"
                          "1,up,1000,1004.5\n2,up,1000,998.5\n3,up,1000,1001.5\n");
    REQUIRE(bench.run("judge " + log + of_log + " --keep" + store).status < 40);
    const std::string commands[] = {
        "expect " + job + " --rig " + rig, "expect " + job + " --rig " + rig + " --json",
        "plan " + job + " --rig " + rig + " --inventory " + inventory, "plan " + job + " --rig " + rig + " --inventory " + inventory + " --json",
        "judge " + log + of_log, "judge " + log + of_log + " --json", "review 1" + store, "review 1 --json" + store, "rejudge all" + store,
        "verify" + store, "export 1 --csv -" + store, "export 1 --jsonl -" + store,
        "tables bearing 61902 --json", "tables hole N7 28 --json", "tables thread M8", "tables material 6061-T6 --json", "tables clearance CN 17",
        "fit '" + bench.file("fit.toml", bench.run("example fit").out) + "'", "calibrate budget '" + bench.file("budget.toml", bench.run("example budget").out) + "'",
        "calibrate line '" + line + "' --at 2.5 --inverse 5.5 --json", "calibrate class7500 '" + force + "'",
        "decode '" HALFTURN_TESTS_DIR "/captures/value-unit/value_unit_lines.json'", "decode --format log-csv " + log};
    for (const std::string& command : commands) {
        CAPTURE(command);
        const auto plain = bench.run(command);
        locale.for_programs();
        const auto comma = bench.run(command);
        locale.leave();
        CHECK(plain.status != 1);
        CHECK(plain.status != 2);
        CHECK(plain.status == comma.status);
        CHECK(plain.out == comma.out);
    }
    // Paper is drawn by a library that knows of locales.
    const auto drawn = [&](const char* name) {
        const std::string file = (bench.folder / name).string();
        CHECK(bench.run("plan " + job + " --rig " + rig + " --inventory " + inventory + " --drawing '" + file + "'").status < 40);
        return whole_file(file);
    };
    const std::string plain = drawn("plain.svg");
    locale.for_programs();
    const std::string comma = drawn("comma.svg");
    locale.leave();
    CHECK(plain == comma);
    // The practice rig writes logs that the judge reads.
    const auto practice = [&](const char* name) {
        const std::string file = (bench.folder / name).string();
        CHECK(std::system(("'" HALFTURN_BUILD_DIR "/halfturn-practice' log clean --seed 3 --out '" + file + "'").c_str()) == 0);
        return whole_file(file, std::size_t{1} << 26);
    };
    const std::string plain_log = practice("plain.jsonl");
    locale.for_programs();
    const std::string comma_log = practice("comma.jsonl");
    locale.leave();
    CHECK(plain_log == comma_log);
}
