#include "command/page_plan.hpp"

#include "command/examples.hpp"
#include "command/paper_file.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "files/json_value.hpp"
#include "files/sibling_program.hpp"
#include "plan/set_up_card.hpp"
#include "screen/job_form.hpp"

namespace halfturn::command {
namespace {

constexpr std::size_t kept_plans = 8;

// The card without what its figure is drawn from: the page asks for the picture.
sheet::Document without_shapes(sheet::Document card) {
    for (sheet::Block& block : card.blocks)
        if (auto* figure = std::get_if<sheet::Figure>(&block.is)) figure->drawing.shapes.clear();
    return card;
}

const sheet::Drawing* figure_of(const sheet::Document& card) {
    for (const sheet::Block& block : card.blocks)
        if (const auto* figure = std::get_if<sheet::Figure>(&block.is)) return &figure->drawing;
    return nullptr;
}

}  // namespace

PagePlan::PagePlan(const std::string& inventory_file, std::string rig_file, std::uint64_t seed)
    : rig_file_(std::move(rig_file)), seed_(seed) {
    if (!inventory_file.empty()) inventory_ = plan::read_inventory_file(inventory_file);
}

void PagePlan::of_job(const JobFile& job, const RigFile& rig, bool practice) {
    const std::lock_guard lock(mutex_);
    at_hand_ = AtHand{job, rig, practice};
}

screen::Answer PagePlan::answer(const screen::Question& question) {
    if (!question.path.empty()) return drawn(question.path);
    if (question.post) {
        if (rig_file_.empty()) throw BadInput("this bench was started without --rig, so only practice jobs can be planned");
        return plan_of({read_job_text(screen::job_text_from_form(JsonValue::parse(question.body, "the form")), "the form"),
                        read_rig_file(rig_file_), false});
    }
    std::optional<AtHand> at_hand;
    {
        const std::lock_guard lock(mutex_);
        at_hand = at_hand_;
    }
    if (!at_hand || !(inventory_ || at_hand->practice)) return {200, "application/json", "null"};
    return plan_of(*at_hand);
}

screen::Answer PagePlan::plan_of(const AtHand& at_hand) {
    if (!inventory_ && !at_hand.practice)
        throw BadInput("which parts this bench owns is not known; start it with --inventory FILE (`halfturn example inventory` shows one)");
    const plan::Inventory inventory =
        inventory_ ? *inventory_
                   : plan::read_inventory_text(std::string(find_example("inventory")->text), "the example inventory");
    const Planned made = planned(at_hand.job, &at_hand.rig, inventory, seed_);
    const sheet::Document card = plan::set_up_card(made.plan, at_hand.job, made.stack, sheet::Paper::a4);
    made_.push_back({++numbers_, {}, sheet::document_json(card)});
    if (const sheet::Drawing* figure = figure_of(card)) made_.back().drawing_json = sheet::drawing_json(*figure);
    if (made_.size() > kept_plans) made_.pop_front();
    JsonWriter json;
    json.object().put("number", numbers_).put("answer", plan::answer_id(made.plan.answer)).put("words", plan::answer_words(made.plan));
    return {200, "application/json", json.key("card").raw(sheet::document_json(without_shapes(card))).end().take()};
}

screen::Answer PagePlan::drawn(const std::string& path) const {
    for (const Made& one : made_) {
        if (path == "drawing/" + std::to_string(one.number)) return {200, "image/svg+xml", sheet_svg(one.drawing_json)};
        if (path == "card/" + std::to_string(one.number))
            return {200, "application/pdf", run_sibling("halfturn-paper", {"pdf"}, one.card_json)};
    }
    return {404, "text/plain; charset=utf-8", "This plan was made too long ago; open it again.\n"};
}

}  // namespace halfturn::command
