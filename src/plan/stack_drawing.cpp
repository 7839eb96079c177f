#include "plan/stack_drawing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "core/number_text.hpp"
#include "plan/section_view.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

using namespace sheet;

constexpr double free_end_mm = 6;        // of the screw beyond the nut, before it is broken off
constexpr double row_mm = 8;             // between dimension lines
constexpr double detail_times = 5;
constexpr double detail_width_mm = 32, detail_height_mm = 30;
constexpr double list_row_mm = 4.6;

// ISO 5455.
constexpr std::array<std::pair<double, const char*>, 9> scales{{{10, "10:1"}, {5, "5:1"}, {2, "2:1"}, {1, "1:1"}, {0.5, "1:2"},
                                                               {0.2, "1:5"}, {0.1, "1:10"}, {0.05, "1:20"}, {0.02, "1:50"}}};

class StackDrawing {
public:
    StackDrawing(const Stack& stack, DrawingSize size) : stack_(stack) {
        drawing_.width_mm = size.width_mm;
        drawing_.height_mm = size.height_mm;
        for (const StackPart& part : stack.parts) {
            left_ = std::min(left_, part.from_mm);
            if (part.id != "screw") right_ = std::max(right_, part.to_mm);
            radius_ = std::max(radius_, part.outer_mm + std::abs(part.aside_mm));
        }
        if (const StackPart* screw = stack.find("screw")) {
            broken_ = screw->to_mm > right_ + free_end_mm + 1;
            screw_end_ = broken_ ? right_ + free_end_mm : screw->to_mm;
            right_ = std::max(right_, screw_end_);
        }
        const double aside = has_detail() ? detail_width_mm + 6 : 0;
        list_ = size.with_list;
        const double below = under_mm + (list_ ? list_row_mm * list_rows() + 3 : 0);
        for (const auto& [times, name] : scales) {
            scale_ = times;
            scale_name_ = name;
            if (times * (right_ - left_) + left_room_mm + right_room_mm + aside <= size.width_mm &&
                times * 2 * radius_ + above_mm + below <= size.height_mm)
                break;
        }
        // What is left over goes to both sides alike.
        const double spare = size.height_mm - scale_ * 2 * radius_ - above_mm - below;
        const double origin_y = above_mm + std::max(0.0, spare) / 2 + scale_ * radius_;
        const double spare_x = size.width_mm - aside - scale_ * (right_ - left_) - left_room_mm - right_room_mm;
        origin_ = {left_room_mm + std::max(0.0, spare_x) / 2 - scale_ * left_, origin_y};
        view_.emplace(drawing_.shapes, scale_, origin_);
    }

    Drawing draw() {
        parts(*view_);
        axis();
        if (stack_.find("nut")) force_loop();
        moving_end();
        instruments();
        marks();
        lengths();
        diameters();
        if (has_detail()) detail();
        if (list_) list();
        title();
        drawing_.says = std::string("Section along the screw's axis, scale ") + scale_name_ +
                        ": the parts of the press round the bearing that " +
                        (stack_.work == Work::out ? "comes out" : "goes in") + ", and the closed way of the force through them.";
        return std::move(drawing_);
    }

private:
    static constexpr double left_room_mm = 19, right_room_mm = 25, above_mm = 17, under_mm = 28;

    bool has_detail() const { return stack_.exposed_mm.has_value() && stack_.find("drift"); }

    void parts(const SectionView& view) const {
        std::vector<StackPart> housing;
        for (const StackPart& part : stack_.parts)
            if (part.id == "housing") housing.push_back(part);
        std::sort(housing.begin(), housing.end(), [](const StackPart& one, const StackPart& other) { return one.from_mm < other.from_mm; });
        if (!housing.empty()) view.housing(housing);
        for (const StackPart& part : stack_.parts) {
            if (part.id == "screw" || part.id == "housing") continue;
            if (part.id == "bearing" || part.id == "far-bearing") view.bearing(part, stack_.ring, stack_.faces.inner_to_mm);
            else if (part.id == "drift") view.cut_round_screw(part);
            else if (part.id == "nut") nut(view, part);
            else view.cut(part);
        }
        if (const StackPart* screw = stack_.find("screw")) draw_screw(view, *screw);
    }

    // A hexagon seen on its corners: three faces.
    void nut(const SectionView& view, const StackPart& part) const {
        view.shapes().push_back({Area{
            box(view.at(part.from_mm, part.outer_mm), view.at(part.to_mm, -part.outer_mm)), {}, 1, {}, Line::thick, part.id}});
        for (const double y : {part.outer_mm / 2, -part.outer_mm / 2})
            view.shapes().push_back({Path{{view.at(part.from_mm, y), view.at(part.to_mm, y)}, Line::thick}});
    }

    void draw_screw(const SectionView& view, const StackPart& screw) const {
        const double r = screw.outer_mm, root = stack_.thread ? stack_.thread->d3_mm / 2 : r;
        std::vector<Point> outline = {view.at(screw.from_mm, r), view.at(screw_end_, r)};
        if (broken_) {  // a free-hand break
            outline.push_back(view.at(screw_end_ + 0.12 * r, r / 3));
            outline.push_back(view.at(screw_end_ - 0.12 * r, -r / 3));
        }
        outline.push_back(view.at(screw_end_, -r));
        outline.push_back(view.at(screw.from_mm, -r));
        view.shapes().push_back({Area{std::move(outline), {}, moving_grey, {}, Line::thick, screw.id}});
        for (const double y : {root, -root})
            view.shapes().push_back({Path{{view.at(screw.from_mm, y), view.at(screw_end_, y)}, Line::thin}});
    }

    void axis() { add(Path{{p(left_ - 4 / scale_, 0), p(right_ + 4 / scale_, 0)}, Line::centre}); }

    // Screw, drift, bearing, housing, support, plate, load cell, nut and back, in the lower half.
    void force_loop() {
        const StackPart *drift = stack_.find("drift"), *nut = stack_.find("nut"), *support = stack_.find("support"),
                        *screw = stack_.find("screw"), *plate = stack_.find("plate"), *housing = stack_.find("housing");
        if (!drift || !nut || !support || !screw || !plate || !housing) return;
        const bool inner = stack_.push.on == Push::On::inner_ring;
        const double in_screw = 0.45 * screw->outer_mm;
        const double pushes = inner ? (stack_.faces.inner_from_mm + std::min(2 * drift->outer_mm, stack_.faces.inner_to_mm)) / 4
                                    : (stack_.faces.outer_from_mm + std::min(2 * drift->outer_mm, stack_.faces.outer_to_mm)) / 4;
        const double bearing_middle = (stack_.bearing_from_mm + stack_.bearing_to_mm) / 2;
        const double wall = (stack_.ring.D_mm / 2 + housing->outer_mm) / 2;
        const double leans = (std::max(support->inner_mm, stack_.ring.D_mm / 2) + std::min(support->outer_mm, housing->outer_mm)) / 2;
        const double in_nut = (nut->outer_mm + screw->outer_mm) / 2;
        const double nut_middle = (nut->from_mm + nut->to_mm) / 2, drift_middle = (drift->from_mm + drift->to_mm) / 2;
        const double first_wall_x = stack_.work == Work::out ? stack_.bearing_from_mm + 0.55 * stack_.ring.B_mm : 0.4 * stack_.ring.B_mm;
        // The side on which a drift that stands aside bears is above the axis.
        const double side = drift->aside_mm > 0 ? 1 : -1;
        const double along = (plate->from_mm + stack_.bearing_to_mm) / 2;
        std::vector<Point> loop = {p(along, side * in_screw), p(drift_middle, side * in_screw), p(drift_middle, side * pushes),
                                   p(inner ? bearing_middle : first_wall_x, side * pushes)};
        loop.push_back(p(inner ? bearing_middle : first_wall_x, side * wall));
        if (std::abs(leans - wall) * scale_ > 2) {
            const double crosses = support->from_mm - 0.25 * stack_.ring.B_mm;
            loop.push_back(p(crosses, side * wall));
            loop.push_back(p(crosses, side * leans));
        } else {
            loop.back() = p(inner ? bearing_middle : first_wall_x, side * leans);
        }
        const double plate_middle = (plate->from_mm + plate->to_mm) / 2;
        loop.push_back(p(plate_middle, side * leans));
        loop.push_back(p(plate_middle, side * in_nut));
        loop.push_back(p(nut_middle, side * in_nut));
        loop.push_back(p(nut_middle, side * in_screw));
        loop.push_back(loop.front());
        add(Path{loop, Line::flow, false, 1.6});
        // Arrows along the screw and along the support say which way it runs.
        add(Path{{p(along + 5 / scale_, side * in_screw), p(along - 2 / scale_, side * in_screw)}, Line::flow, true});
        const double support_middle = (support->from_mm + support->to_mm) / 2;
        add(Path{{p(support_middle - 5 / scale_, side * leans), p(support_middle + 2 / scale_, side * leans)}, Line::flow, true});
    }

    void moving_end() {
        const StackPart* screw = stack_.find("screw");
        if (!screw) return;
        const Point tip = p(right_, 0);
        add(Path{{{tip.x_mm + 5, tip.y_mm}, {tip.x_mm + 16, tip.y_mm}}, Line::thick, true});
        add(Words{{tip.x_mm + 10, tip.y_mm - 1.8}, "moves", 2.3, Align::centre, true});
    }

    void instruments() {
        const StackPart *plate = stack_.find("plate"), *screw = stack_.find("screw"), *nut = stack_.find("nut");
        if (!plate || !screw || !nut) return;
        if (stack_.has_screw_travel) {
            // A caliper beside the screw's end: one jaw on the plate that stands still, the other on the end that moves.
            const double still = plate->to_mm + (stack_.find("load-cell") ? 0.01 : 0), end = screw_end_;
            const double beam = plate->outer_mm * 0.86, thick = 3 / scale_, jaw = 2 / scale_;
            const auto outline = [&](double x, double low, double high, double wide) {
                add(Area{box(p(x, high), p(x + wide, low)), {}, 1, {}, Line::neighbour, "caliper"});
            };
            outline(still, beam - 2.2 * thick, beam, jaw);
            outline(end, 0.15 * screw->outer_mm, beam, jaw);
            outline(still, beam - thick, beam, end + 2 * jaw - still);
            add(Words{{p(end, 0).x_mm + 2 * jaw * scale_ + 1.5, p(0, beam - thick).y_mm - 0.3}, "caliper", 2.3});
        }
        if (stack_.has_turns) add(Words{{p(nut->to_mm, 0).x_mm + 1, p(0, -nut->outer_mm).y_mm + 4}, "turns counted", 2.3});
        if (stack_.has_ring_travel) add(Words{{p(0, 0).x_mm + 1.5, p(0, stack_.ring.D_mm / 2).y_mm + 4.2}, "ring travel", 2.3});
    }

    // Numbers in a row above, leaders down to the parts, in the order they stand in.
    void marks() {
        struct One {
            double x = 0;
            Point on;
            int number = 0;
        };
        std::vector<One> list;
        for (const StackItem& item : stack_.items) {
            const StackPart* part = stack_.find(item.part);
            if (!part) continue;
            double x = (part->from_mm + part->to_mm) / 2,
                   y = part->aside_mm + part->outer_mm - std::min(1.2, 0.3 * (part->outer_mm - part->inner_mm));
            if (item.part == "screw")
                x = (std::min(screw_end_, right_) + (stack_.find("nut") ? stack_.find("nut")->to_mm : part->from_mm)) / 2,
                y = 0.3 * part->outer_mm;
            if (item.part == "housing") x = part->from_mm + 0.2 * (part->to_mm - part->from_mm);
            if (item.part == "support") x = part->from_mm + 0.55 * (part->to_mm - part->from_mm);
            if (item.part == "plug") x = part->from_mm + 0.75 * (part->to_mm - part->from_mm);
            if (item.part == "bearing")
                x = part->from_mm + 0.5 * (part->to_mm - part->from_mm),
                y = part->outer_mm - 0.25 * (stack_.ring.D_mm - stack_.ring.shoulder_mm) / 2;
            list.push_back({p(x, 0).x_mm, p(x, y), item.number});
        }
        std::sort(list.begin(), list.end(), [](const One& one, const One& other) { return one.x < other.x; });
        constexpr double apart = 8;
        double last = -1e9;
        for (One& one : list) last = one.x = std::max(one.x, last + apart);
        // Pushed to the right by their neighbours, they are moved back together.
        double shift = 0;
        for (const One& one : list) shift += one.on.x_mm - one.x;
        shift = list.empty() ? 0 : shift / static_cast<double>(list.size());
        const double y = origin_.y_mm - scale_ * radius_ - 9;
        for (const One& one : list) add(Mark{one.on, {one.x + shift, y}, std::to_string(one.number)});
    }

    void lengths() {
        const double bottom = origin_.y_mm + scale_ * radius_;
        for (const char* id : {"drift", "bearing", "support", "plate", "load-cell", "nut"}) {
            const StackPart* part = stack_.find(id);
            if (!part || !part->given) continue;
            if (part->id == "plate") continue;  // its 3 mm stand in the list of parts
            add(Dimension{p(part->from_mm, -part->outer_mm), p(part->to_mm, -part->outer_mm), bottom + row_mm, false,
                          length_text(part->to_mm - part->from_mm)});
        }
        const StackPart* screw = stack_.find("screw");
        if (!screw || stack_.screw_needs_mm <= 0) return;
        const double to = std::min(screw->from_mm + stack_.screw_needs_mm, screw_end_);
        add(Dimension{p(screw->from_mm, -screw->outer_mm), p(to, -screw->outer_mm), bottom + 2 * row_mm, false,
                      length_text(stack_.screw_needs_mm) + " of screw needed" +
                          (stack_.screw_length_mm > 0 ? ", " + length_text(stack_.screw_length_mm) + " there" : "")});
    }

    void diameters() {
        const double left = p(left_, 0).x_mm;
        int row = 0;
        const auto add_left = [&](double radius, double x, const std::string& text) {
            add(Dimension{p(x, radius), p(x, -radius), left - row_mm * ++row + 1, true, text});
        };
        if (const StackPart* drift = stack_.find("drift"); drift && drift->aside_mm == 0)
            add_left(drift->outer_mm, drift->from_mm, "Ø" + length_text(2 * drift->outer_mm));
        const StackPart* support = stack_.find("support");
        const double D = stack_.ring.D_mm;
        add_left(D / 2, stack_.bearing_from_mm, "Ø" + length_text(D));
        if (!support) return;
        // Inside and outside of the support, in the room it leaves for the bearing.
        const double width = support->to_mm - support->from_mm;
        add(Dimension{p(support->from_mm + 0.30 * width, support->inner_mm), p(support->from_mm + 0.30 * width, -support->inner_mm),
                      p(support->from_mm + 0.30 * width, 0).x_mm, true, "Ø" + length_text(2 * support->inner_mm)});
        add(Dimension{p(support->to_mm, support->outer_mm), p(support->to_mm, -support->outer_mm), p(right_, 0).x_mm + 23, true,
                      "Ø" + length_text(2 * support->outer_mm)});
    }

    // The edge of the inner ring that shows beside the spacer, where the drift bears.
    void detail() {
        const double times = scale_ * detail_times;
        const double x = stack_.bearing_from_mm, y = stack_.faces.inner_from_mm / 2 + *stack_.exposed_mm / 2;
        const Point from{drawing_.width_mm - detail_width_mm - 2, above_mm}, to{from.x_mm + detail_width_mm, from.y_mm + detail_height_mm};
        Window window{from, to, {}};
        const SectionView view(window.shapes, times, {(from.x_mm + to.x_mm) / 2 - times * x, (from.y_mm + to.y_mm) / 2 + times * y});
        parts(view);
        add(std::move(window));
        add(Dimension{view.at(x, stack_.ring.d_mm / 2), view.at(x, stack_.ring.d_mm / 2 + *stack_.exposed_mm), to.x_mm - 9, true,
                      length_text(*stack_.exposed_mm)});
        const std::string letter = "A", scale = scale_of(times);
        add(Words{{from.x_mm, from.y_mm - 2}, letter + (scale.empty() ? "" : "  (" + scale + ")"), 3, Align::left, true});
        const Point centre = p(x, y);
        const double r = std::max(3.2, detail_height_mm / detail_times / 2);
        add(Disc{centre, r, -1, Line::thin});
        add(Words{{centre.x_mm - r - 3, centre.y_mm - r + 1}, letter, 3, Align::left, true});
        add(Words{{from.x_mm, to.y_mm + 4}, "of the ring shows here", 2.3});
    }

    static std::string scale_of(double times) {
        return times >= 1 ? number_text(times) + ":1" : "1:" + number_text(1 / times);
    }

    double list_rows() const { return std::ceil(static_cast<double>(stack_.items.size()) / 2); }

    // The parts by their numbers, in two columns.
    void list() {
        const double top = drawing_.height_mm - 9 - list_row_mm * list_rows(), half = drawing_.width_mm / 2;
        add(Path{{{2, top - 1}, {drawing_.width_mm - 2, top - 1}}, Line::thin});
        double row = 0, x = 2;
        for (const StackItem& item : stack_.items) {
            const double y = top + list_row_mm * (row + 1) - 1;
            add(Words{{x + 5, y}, std::to_string(item.number), 2.2, Align::right, true});
            add(Words{{x + 7, y}, item.what, 2.2});
            add(Words{{x + 40, y}, item.name, 2.2});
            add(Words{{x + 76, y}, item.size, 2.2});
            if (++row < list_rows()) continue;
            row = 0;
            x = half;
        }
        add(Path{{{2, top + list_row_mm * list_rows() + 1}, {drawing_.width_mm - 2, top + list_row_mm * list_rows() + 1}}, Line::thin});
    }

    void title() {
        const double y = drawing_.height_mm - 3;
        add(Words{{2, y}, std::string("Scale ") + scale_name_ + ", sizes in mm", 2.5, Align::left, true});
        if (list_) add(Words{{drawing_.width_mm - 2, y}, stack_.title, 2.5, Align::right, true});
        const double x = 56;
        add(Area{box({x, y - 2.6}, {x + 5, y + 0.2}), {}, moving_grey, {}, Line::thin, ""});
        add(Words{{x + 6.5, y}, "moves", 2.3});
        add(Area{box({x + 22, y - 2.6}, {x + 27, y + 0.2}), {}, -1, {45, 1.2}, Line::thin, ""});
        add(Words{{x + 28.5, y}, "stands", 2.3});
        add(Path{{{x + 44, y - 1.2}, {x + 52, y - 1.2}}, Line::flow, true});
        add(Words{{x + 53.5, y}, "way of the force", 2.3});
        add(Path{{{x + 82, y - 1.2}, {x + 92, y - 1.2}}, Line::neighbour});
        add(Words{{x + 93.5, y}, "size not given", 2.3});
    }

    static std::string length_text(double value) {
        const std::string text = mm(value);
        return text.substr(0, text.find(' '));
    }

    Point p(double x, double y) const { return view_->at(x, y); }
    void add(auto shape) { drawing_.shapes.push_back({std::move(shape)}); }

    const Stack& stack_;
    Drawing drawing_;
    double left_ = 0, right_ = 0, radius_ = 1, screw_end_ = 0, scale_ = 1;
    const char* scale_name_ = "";
    bool broken_ = false, list_ = false;
    Point origin_;
    std::optional<SectionView> view_;
};

}  // namespace

Drawing stack_drawing(const Stack& stack, DrawingSize size) { return StackDrawing(stack, size).draw(); }

}  // namespace halfturn::plan
