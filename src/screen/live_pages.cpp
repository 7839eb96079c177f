#include "screen/live_pages.hpp"

#include <boost/asio.hpp>
#include <boost/beast.hpp>

namespace halfturn::screen {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace websocket = beast::websocket;
using Clock = std::chrono::steady_clock;

constexpr int most_acts_per_s = 40;
constexpr auto alive_every = std::chrono::milliseconds(150);
const std::string alive = R"({"t":"alive"})";

}  // namespace

struct LivePage {
    explicit LivePage(beast::tcp_stream stream) : ws(std::move(stream)), wake(ws.get_executor()) {}
    websocket::stream<beast::tcp_stream> ws;
    asio::steady_timer wake;
    std::uint64_t sent = 0;
    bool open = true;
};

LivePages::LivePages(asio::io_context& io, Limits limits, std::string key, std::function<void(const PageAct&)> on_act)
    : io_(io), limits_(limits), key_(std::move(key)), on_act_(std::move(on_act)), state_(std::make_shared<const std::string>(alive)) {}

void LivePages::publish(std::string state_json) {
    auto text = std::make_shared<const std::string>(std::move(state_json));
    {
        const std::lock_guard lock(mutex_);
        state_.swap(text);
        ++version_;
    }
    wake();
}

std::pair<LivePages::Text, std::uint64_t> LivePages::newest() const {
    const std::lock_guard lock(mutex_);
    return {state_, version_};
}

asio::awaitable<void> LivePages::serve(beast::tcp_stream stream, beast::http::request<beast::http::empty_body> request) {
    stream.expires_never();  // from here on the websocket keeps time
    const auto page = std::make_shared<LivePage>(std::move(stream));
    websocket::stream_base::timeout times{};
    times.handshake_timeout = limits_.handshake;
    times.idle_timeout = limits_.idle;
    times.keep_alive_pings = true;
    page->ws.set_option(times);
    page->ws.read_message_max(longest_page_act_bytes);
    const auto [error] = co_await page->ws.async_accept(request, quietly);
    if (error) co_return;
    page->ws.text(true);
    struct Listed {
        std::set<LivePage*>& all;
        LivePage* one;
        Listed(std::set<LivePage*>& a, LivePage* p) : all(a), one(p) { all.insert(one); }
        ~Listed() { all.erase(one); }
    } listed(pages_, page.get());
    asio::co_spawn(io_, tell(page), asio::detached);
    co_await listen(page);
    page->open = false;
    page->wake.cancel();
}

asio::awaitable<void> LivePages::tell(std::shared_ptr<LivePage> page) {
    while (page->open) {
        auto [text, number] = newest();
        if (number == page->sent) {
            page->wake.expires_after(alive_every);
            co_await page->wake.async_wait(quietly);
            if (!page->open) co_return;
            std::tie(text, number) = newest();
        }
        const std::string& bytes = number == page->sent ? alive : *text;
        page->sent = number;
        const auto [error, count] = co_await page->ws.async_write(asio::buffer(bytes), quietly);
        if (error) co_return;
    }
}

asio::awaitable<void> LivePages::listen(std::shared_ptr<LivePage> page) {
    beast::flat_buffer buffer;
    Clock::time_point second = Clock::now();
    int acts = 0;
    for (;;) {
        buffer.clear();
        const auto [error, count] = co_await page->ws.async_read(buffer, quietly);
        if (error) co_return;
        if (Clock::now() - second > std::chrono::seconds(1)) {
            second = Clock::now();
            acts = 0;
        }
        const auto bytes = buffer.cdata();
        std::optional<PageAct> act;
        if (page->ws.got_text() && ++acts <= most_acts_per_s)
            act = read_page_act({static_cast<const char*>(bytes.data()), bytes.size()}, key_);
        if (!act) {
            // Not a close handshake: this is no page of ours, and a write may be in flight.
            beast::get_lowest_layer(page->ws).close();
            co_return;
        }
        if (on_act_) on_act_(*act);
    }
}

void LivePages::wake() {
    if (wake_posted_.exchange(true)) return;
    asio::post(io_, [this] {
        wake_posted_ = false;
        for (LivePage* page : pages_) page->wake.cancel();
    });
}

}  // namespace halfturn::screen
