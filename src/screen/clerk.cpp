#include "screen/clerk.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "core/failure.hpp"

namespace halfturn::screen {
namespace {

namespace asio = boost::asio;

constexpr std::size_t most_questions = 32;  // waiting for an answer

}  // namespace

void Clerk::publish(const std::string& name, std::string json) {
    auto text = std::make_shared<const std::string>(std::move(json));
    const std::lock_guard lock(mutex_);
    data_[name].swap(text);
}

void Clerk::answer(const std::string& name, Answering by) {
    auto shared = std::make_shared<const Answering>(std::move(by));
    const std::lock_guard lock(mutex_);
    answering_[name].swap(shared);
}

asio::awaitable<Answer> Clerk::reply(std::string rest, Question question) {
    Text text;
    std::shared_ptr<const Answering> by;
    const auto slash = rest.find('/');
    {
        const std::lock_guard lock(mutex_);
        if (const auto found = data_.find(rest); found != data_.end()) text = found->second;
        if (const auto found = answering_.find(rest.substr(0, slash)); found != answering_.end()) by = found->second;
    }
    if (text && !question.post) co_return Answer{200, "application/json", *text};
    if (!by) co_return Answer{404, "", ""};
    if (waiting_ >= most_questions) co_return Answer{503, "", ""};
    ++waiting_;
    question.path = slash == std::string::npos ? std::string() : rest.substr(slash + 1);
    auto [problem, found] =
        co_await asio::co_spawn(thread_.get_executor(), ask(by, std::move(question)), asio::as_tuple(asio::use_awaitable));
    --waiting_;
    if (problem) co_return Answer{500, "", ""};
    co_return std::move(found);
}

asio::awaitable<Answer> Clerk::ask(std::shared_ptr<const Answering> by, Question question) {
    try {
        co_return (*by)(question);
    } catch (const BadInput& problem) {
        co_return Answer{400, "text/plain; charset=utf-8", problem.what()};
    } catch (const Failure& problem) {
        co_return Answer{500, "text/plain; charset=utf-8", problem.what()};
    }
}

}  // namespace halfturn::screen
