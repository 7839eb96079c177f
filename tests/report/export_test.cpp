// What export writes, read by programs nobody here wrote: Python's csv, json and sqlite3.
#include <catch2/catch.hpp>

#include "report/reading.hpp"

using halfturn::test::Bench;
using halfturn::test::output_of;
using halfturn::test::Ran;

namespace {

const std::string kept_jobs = HALFTURN_TESTS_DIR "/jobs/";

std::string python(const Bench& bench, const std::string& program, const std::string& file) {
    return output_of("python3 '" + bench.file("read.py", program) + "' '" + file + "'");
}

}  // namespace

TEST_CASE("exports are read by others: CSV, JSON lines, a copy of the store") {
    const Bench bench;
    const std::string option = " --store '" + (bench.folder / "s.db").string() + "'";
    REQUIRE(bench.run("judge '" + kept_jobs + "clean-steady-100hz.csv' --job '" + kept_jobs + "castor-out.job.toml' --rig '" + kept_jobs + "castor.rig.toml' --keep" + option)
                .status == 0);
    const auto path = [&](const char* name) { return (bench.folder / name).string(); };

    // The rows that went in come out, value for value.
    REQUIRE(bench.run("export 1 --csv '" + path("j.csv") + "'" + option).status == 0);
    const std::string compare = R"(
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True))
given = list(csv.DictReader(open("LOG", newline="")))
at = {round(float(r["t_s"]), 6): r for r in given}
start = float(given[0]["t_s"])
same = sum(1 for r in rows if r["force_N"] and abs(float(r["force_N"]) - float(at[round(float(r["t_s"]) + start, 6)]["force_N"])) < 60)
print(len(given), same, ",".join(rows[0]))
)";
    std::string program = compare;
    program.replace(program.find("LOG"), 3, kept_jobs + "clean-steady-100hz.csv");
    std::istringstream counted(python(bench, program, path("j.csv")));
    std::size_t given = 0, same = 0;
    std::string names;
    counted >> given >> same >> names;
    CHECK(given > 100);
    CHECK(same > given * 9 / 10);
    CHECK(names == "t_s,force_N,turns");
    std::ifstream file(path("j.csv"), std::ios::binary);
    const std::string csv{std::istreambuf_iterator<char>(file), {}};
    CHECK(csv.find("\r\n") != std::string::npos);
    CHECK(csv.ends_with("\r\n"));

    REQUIRE(bench.run("export 1 --units-row --csv '" + path("u.csv") + "'" + option).status == 0);
    CHECK(python(bench, "import csv, sys; print(list(csv.reader(open(sys.argv[1], newline='')))[:2])", path("u.csv")) ==
          "[['t_s', 'force_N', 'turns'], ['s', 'N', '1']]\n");
    CHECK(bench.run("export 1 --units-row --jsonl -" + option).status == 2);

    REQUIRE(bench.run("export 1 --jsonl '" + path("j.jsonl") + "'" + option).status == 0);
    CHECK(python(bench, "import json, sys; lines = [json.loads(l) for l in open(sys.argv[1], encoding='utf-8')]\n"
                        "print(all(a['t_ms'] <= b['t_ms'] for a, b in zip(lines, lines[1:])), {k for l in lines for k in l} >= {'t_ms', 'port', 'hex'})",
                 path("j.jsonl")) == "True True\n");

    REQUIRE(bench.run("export --store-copy '" + path("copy.db") + "'" + option).status == 0);
    CHECK(python(bench, "import sqlite3, sys; db = sqlite3.connect('file:' + sys.argv[1] + '?mode=ro', uri=True)\n"
                        "print(db.execute('pragma integrity_check').fetchone()[0], db.execute('select count(*) from jobs').fetchone()[0], "
                        "hex(db.execute('pragma application_id').fetchone()[0]))",
                 path("copy.db")) == "ok 1 0x6874726e\n");
    CHECK(bench.run("verify --store '" + path("copy.db") + "'").status == 0);
}
