// The stack's geometry against the sizes it is made of, and its drawing: to scale, closed, inside its sheet.
#include <catch2/catch.hpp>
#include <cmath>

#include "plan/set_up_card.hpp"
#include "plan/stack_drawing.hpp"
#include "run_halfturn.hpp"
#include "plan/setup_cases.hpp"

using namespace halfturn;
using namespace halfturn::plan;

namespace {

struct Drawn {
    SetUpCase set_up;
    JobFile job;
    RigFile rig;
    Inventory inventory;
    Plan plan;
    Stack stack;
};

Drawn drawn(const SetUpCase& one) {
    Drawn out{one, read_job_text(one.job, "job"), read_rig_text(one.rig, "rig"), read_inventory_text(one.inventory, "inventory"), {}, {}};
    out.plan = make_plan(out.job, &out.rig, out.inventory, 1);
    out.stack = stack_of(out.plan, out.job, &out.rig, out.inventory);
    return out;
}

Drawn drawn(const std::string& name) {
    for (const auto& one : read_setup_cases())
        if (one.name == name) return drawn(one);
    FAIL("no set-up is called " << name);
    return {};
}

template <class Kind>
std::vector<Kind> all(const std::vector<sheet::Shape>& shapes) {
    std::vector<Kind> list;
    for (const auto& shape : shapes)
        if (const auto* one = std::get_if<Kind>(&shape.is)) list.push_back(*one);
    return list;
}

bool inside(const sheet::Point& point, const sheet::Drawing& drawing) {
    return point.x_mm >= 0 && point.x_mm <= drawing.width_mm && point.y_mm >= 0 && point.y_mm <= drawing.height_mm;
}

}  // namespace

TEST_CASE("out, straight: the parts stand face to face from the drift to the nut") {
    const Drawn one = drawn("straight out of a measured light fit");
    const auto* drift = one.stack.find("drift");
    const auto* bearing = one.stack.find("bearing");
    const auto* support = one.stack.find("support");
    const auto* plate = one.stack.find("plate");
    const auto* nut = one.stack.find("nut");
    const auto* screw = one.stack.find("screw");
    REQUIRE((drift && bearing && support && plate && nut && screw));
    CHECK(drift->to_mm == bearing->from_mm);
    CHECK(bearing->to_mm - bearing->from_mm == 7);
    CHECK(support->from_mm == 0);
    CHECK(support->to_mm == plate->from_mm);
    CHECK(plate->to_mm == nut->from_mm);
    // 10 + 7 + 20 + 3 + 16 to the nut's far face, and three pitches of 1.5.
    CHECK(nut->to_mm - screw->from_mm == Approx(56));
    CHECK(one.stack.screw_needs_mm == Approx(60.5));
    CHECK(support->inner_mm > bearing->outer_mm);
    CHECK((drift->moves && bearing->moves && screw->moves));
    CHECK_FALSE((support->moves || one.stack.find("housing")->moves));
}

TEST_CASE("past a spacer: the drift stands aside as far as the spacer lets it") {
    const Drawn one = drawn("past a spacer that moves enough");
    const auto* drift = one.stack.find("drift");
    const auto* spacer = one.stack.find("spacer");
    REQUIRE((drift && spacer));
    // The spacer's bore of 15, 1.2 aside, ends at 8.7; the drift of 14.8 reaches 8.8 at most.
    CHECK(drift->aside_mm + drift->outer_mm == Approx(8.7));
    CHECK(spacer->aside_mm == 1.2);
    CHECK(*one.stack.exposed_mm == Approx(1.2));
    CHECK(drift->aside_mm - drift->outer_mm >= -spacer->inner_mm + spacer->aside_mm - 1e-9);  // within the spacer's bore
    const auto drawing = stack_drawing(one.stack, {277, 190, true});
    REQUIRE(all<sheet::Window>(drawing.shapes).size() == 1);
    bool stated = false;
    for (const auto& dimension : all<sheet::Dimension>(drawing.shapes)) stated = stated || dimension.text == "1.2";
    CHECK(stated);
}

TEST_CASE("in: the support stands on the far face and the bearing outside its seat") {
    const Drawn one = drawn("pressed in on the outer ring");
    const auto* housing = one.stack.find("housing");
    CHECK(one.stack.find("bearing")->to_mm == housing->from_mm);
    CHECK(one.stack.find("support")->from_mm == housing->to_mm);
    // What choose_parts asks of the screw is what the drawing takes: drift, bearing, seat, support, plate, nut, pitches.
    const double taken = one.stack.find("nut")->to_mm - one.stack.find("screw")->from_mm;
    CHECK(one.stack.screw_needs_mm == Approx(taken + 3 * one.stack.thread->pitch_mm));
}

TEST_CASE("a load cell of known size takes its part of the screw") {
    SetUpCase one = drawn("straight out of a measured light fit").set_up;
    const double without = drawn(one).stack.screw_needs_mm;
    one.inventory += "[load_cell]\nname = \"ring 5 kN\"\nheight_mm = 12\nouter_diameter_mm = 32\nhole_mm = 12\n";
    const Drawn with = drawn(one);
    CHECK(with.stack.screw_needs_mm == Approx(without + 12));
    CHECK(with.stack.find("load-cell")->given);
    CHECK(with.stack.find("nut")->from_mm == with.stack.find("load-cell")->to_mm);
}

TEST_CASE("a seat behind the mouth takes more screw") {
    SetUpCase one = drawn("straight out of a measured light fit").set_up;
    const double without = drawn(one).stack.screw_needs_mm;
    const auto at = one.job.find(", shape = \"flush\"");
    one.job.replace(at, 17, ", section = [{from_mm = -5, to_mm = 0, inner_diameter_mm = 28.5, outer_diameter_mm = 40}, "
                            "{from_mm = 0, to_mm = 7, inner_diameter_mm = 28, outer_diameter_mm = 40}]");
    const Drawn with = drawn(one);
    CHECK(with.stack.screw_needs_mm == Approx(without + 5));
    CHECK(with.stack.find("bearing")->to_mm == -5);
}

TEST_CASE("every set-up is drawn to its stated scale, inside its sheet, the force's way closed") {
    for (const auto& one : read_setup_cases()) {
        INFO(one.name);
        const Drawn set_up = drawn(one);
        for (const DrawingSize size : {DrawingSize{277, 190, true}, DrawingSize{178, 96, false}}) {
            const auto drawing = stack_drawing(set_up.stack, size);
            double scale = 0;
            for (const auto& words : all<sheet::Words>(drawing.shapes))
                if (words.text.starts_with("Scale ")) {
                    const auto colon = words.text.find(':');
                    const double over = std::stod(words.text.substr(6, colon - 6)), under = std::stod(words.text.substr(colon + 1));
                    scale = over / under;
                }
            REQUIRE(scale > 0);
            const auto areas = all<sheet::Area>(drawing.shapes);
            for (const auto& area : areas)
                for (const auto& point : area.outline) CHECK(inside(point, drawing));
            for (const auto& path : all<sheet::Path>(drawing.shapes))
                for (const auto& point : path.points) CHECK(inside(point, drawing));
            for (const auto& mark : all<sheet::Mark>(drawing.shapes)) CHECK((inside(mark.on_part, drawing) && inside(mark.at, drawing)));
            // Lengths on paper are lengths of the part.
            for (const auto& area : areas)
                if (area.part == "support") {
                    CHECK(area.outline[1].x_mm - area.outline[0].x_mm ==
                          Approx(scale * set_up.plan.parts.support.chosen->height_mm));
                }
            for (const auto& path : all<sheet::Path>(drawing.shapes))
                if (path.line == sheet::Line::flow && path.corner_mm > 0) {
                    CHECK(path.points.front().x_mm == Approx(path.points.back().x_mm));
                    CHECK(path.points.front().y_mm == Approx(path.points.back().y_mm));
                }
        }
    }
}

TEST_CASE("neighbours are hatched differently") {
    const Drawn one = drawn("straight out of a measured light fit");
    const auto drawing = stack_drawing(one.stack, {277, 190, true});
    const auto hatch = [&](const char* part) {
        for (const auto& area : all<sheet::Area>(drawing.shapes))
            if (area.part == part) return area.hatch;
        return sheet::Hatch{};
    };
    for (const auto& [part, other] : {std::pair("drift", "bearing"), std::pair("bearing", "housing"), std::pair("housing", "support"),
                                      std::pair("support", "plate"), std::pair("bearing", "plug")}) {
        INFO(part << " and " << other);
        CHECK((hatch(part).angle_deg != hatch(other).angle_deg || hatch(part).spacing_mm != hatch(other).spacing_mm));
    }
    CHECK(hatch("screw").spacing_mm == 0);  // not cut along its axis
    CHECK(hatch("nut").spacing_mm == 0);
}

TEST_CASE("drawing and card come out as files, and a wrong ending is refused") {
    const test::Bench bench;
    const auto job = bench.file("job.toml", bench.run("example job").out), rig = bench.file("rig.toml", bench.run("example rig").out),
               inventory = bench.file("inventory.toml", bench.run("example inventory").out);
    const std::string plan = "plan " + job + " --rig " + rig + " --inventory " + inventory;
    const auto read = [&](const char* name) {
        std::ifstream file(bench.folder / name, std::ios::binary);
        return std::string{std::istreambuf_iterator<char>(file), {}};
    };
    CHECK(bench.run(plan + " --drawing " + (bench.folder / "d.svg").string() + " --card " + (bench.folder / "c.pdf").string()).status == 0);
    CHECK(read("d.svg").starts_with("<?xml"));
    CHECK(read("c.pdf").starts_with("%PDF-"));
    const auto wrong = bench.run(plan + " --drawing stack.jpg");
    CHECK(wrong.status == 2);
    CHECK(wrong.out.find(".svg, .pdf or .png") != std::string::npos);
    CHECK(bench.run(plan + " --card " + (bench.folder / "none" / "c.pdf").string()).status == 2);
}

TEST_CASE("the card says what the plan says") {
    const Drawn one = drawn("past a spacer that hardly moves");
    const std::string card = sheet::document_json(set_up_card(one.plan, one.job, one.stack, sheet::Paper::letter));
    for (const char* words :
         {"Not this way", "Eye protection", "rated load", "Local rules", "Hands and face", "force expected", "most likely"}) {
        INFO(words);
        CHECK(card.find(words) != std::string::npos);
    }
    for (const auto& check : one.plan.checks)
        if (check.grade >= Grade::with_care) CHECK(card.find(check.says.substr(0, 30)) != std::string::npos);
}
