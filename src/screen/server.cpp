#include "screen/server.hpp"

#include <fcntl.h>

#include <atomic>
#include <boost/asio.hpp>
#include <boost/beast.hpp>
#include <chrono>
#include <map>
#include <mutex>
#include <set>
#include <thread>

#include "core/failure.hpp"
#include "screen/callers.hpp"
#include "screen/page_files.hpp"

namespace halfturn::screen {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
namespace websocket = beast::websocket;
using asio::ip::tcp;
using Clock = std::chrono::steady_clock;
using Request = http::request<http::empty_body>;
using Response = http::response<http::string_body>;
using Text = std::shared_ptr<const std::string>;
constexpr auto quietly = asio::as_tuple(asio::use_awaitable);

constexpr std::size_t most_header_bytes = 8 * 1024;
constexpr int most_requests = 400;                       // on one connection
constexpr int most_acts_per_s = 40;
constexpr int send_buffer_bytes = 64 * 1024;             // what a page that does not read may hold of the kernel's memory
constexpr auto alive_every = std::chrono::milliseconds(150);
const std::string alive = R"({"t":"alive"})";
constexpr std::string_view key_place = "@KEY@";
constexpr std::string_view cookie_name = "halfturn=";

Clock::duration duration(double s) { return std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(s)); }

std::string_view view(beast::string_view text) { return {text.data(), text.size()}; }

std::string_view field(const Request& request, std::string_view name) {
    const beast::string_view key(name.data(), name.size());
    // A field given twice is as good as none: two readers could take different ones.
    return request.count(key) == 1 ? view(request[key]) : std::string_view();
}

// A program started from here must not hold our connections open after we have closed them.
void keep_to_ourselves(int descriptor) { ::fcntl(descriptor, F_SETFD, FD_CLOEXEC); }

struct Page {
    explicit Page(beast::tcp_stream stream) : ws(std::move(stream)), wake(ws.get_executor()) {}
    websocket::stream<beast::tcp_stream> ws;
    asio::steady_timer wake;
    std::uint64_t sent = 0;
    bool open = true;
};

}  // namespace

struct Server::Inside {
    ServerOptions options;
    OnAct on_act;
    std::string key = random_key();
    std::vector<std::string> own_addresses;
    unsigned short port = 0;
    std::unique_ptr<Callers> callers;

    mutable std::mutex mutex;  // guards the next five
    Text state = std::make_shared<const std::string>(alive);
    std::uint64_t version = 1;
    std::map<std::string, Text, std::less<>> data;
    std::string join_key = random_key();
    std::function<void()> new_key, signalled;

    std::atomic<bool> wake_posted{false};
    std::set<Page*> pages;
    std::size_t connections = 0;
    asio::io_context io{1};  // last: what still runs in it is taken down before anything it looks at
    std::thread thread;

    Inside(const ServerOptions& how, OnAct act) : options(how), on_act(std::move(act)) {
        std::vector<std::string> names = {"127.0.0.1", "localhost"};
        if (options.lan) {
            own_addresses = addresses_of_this_machine();
            names.insert(names.end(), own_addresses.begin(), own_addresses.end());
        }
        const tcp::endpoint where(options.lan ? asio::ip::address_v4::any() : asio::ip::address_v4::loopback(), options.port);
        try {
            tcp::acceptor acceptor(io, where);
            keep_to_ourselves(acceptor.native_handle());
            port = acceptor.local_endpoint().port();
            callers = std::make_unique<Callers>(names, port);
            asio::co_spawn(io, accept(std::move(acceptor)), asio::detached);
        } catch (const boost::system::system_error& error) {
            throw Failure("the page can't be served at port " + std::to_string(options.port) + ": " + error.code().message() +
                          "; give another with --port, or end the program that has it");
        }
        thread = std::thread([this] { io.run(); });
    }

    ~Inside() {
        io.stop();
        thread.join();
    }

    asio::awaitable<void> wait_for_signals() {
        asio::signal_set signals(io, SIGINT, SIGTERM, SIGHUP);
        for (;;) {
            const auto [error, number] = co_await signals.async_wait(quietly);
            if (error) co_return;
            std::function<void()> what;
            {
                const std::lock_guard lock(mutex);
                what = signalled;
            }
            if (what) what();
        }
    }

    asio::awaitable<void> accept(tcp::acceptor acceptor) {
        for (;;) {
            auto [error, socket] = co_await acceptor.async_accept(quietly);
            if (error) {
                // Out of descriptors, mostly: wait rather than spin.
                asio::steady_timer pause(io, std::chrono::milliseconds(200));
                co_await pause.async_wait(quietly);
                continue;
            }
            if (connections >= options.most_connections) continue;  // closes it
            keep_to_ourselves(socket.native_handle());
            boost::system::error_code ignored;
            socket.set_option(tcp::no_delay(true), ignored);
            socket.set_option(asio::socket_base::send_buffer_size(send_buffer_bytes), ignored);
            asio::co_spawn(io, serve(std::move(socket)), asio::detached);
        }
    }

    asio::awaitable<void> serve(tcp::socket socket) {
        struct Counted {
            std::size_t& count;
            explicit Counted(std::size_t& c) : count(c) { ++count; }
            ~Counted() { --count; }
        } counted(connections);
        boost::system::error_code no_peer;
        const tcp::endpoint peer = socket.remote_endpoint(no_peer);
        if (no_peer) co_return;
        const bool near = peer.address().is_loopback();
        beast::tcp_stream stream(std::move(socket));
        beast::flat_buffer buffer(2 * most_header_bytes);
        for (int i = 0; i < most_requests; ++i) {
            http::request_parser<http::empty_body> parser;
            parser.header_limit(most_header_bytes);
            stream.expires_after(duration(options.header_within_s));
            const auto [error, count] = co_await http::async_read(stream, buffer, parser, quietly);
            if (error == http::error::end_of_stream || error == beast::error::timeout) break;
            if (error) {
                Response response = answer(error == http::error::header_limit ? http::status::request_header_fields_too_large : http::status::bad_request);
                response.keep_alive(false);
                co_await http::async_write(stream, response, quietly);
                break;
            }
            const Request request = parser.release();
            Response response = refusal(request, near);
            if (response.result() == http::status::ok && websocket::is_upgrade(request)) {
                co_await live(std::move(stream), request);
                co_return;
            }
            if (response.result() == http::status::ok) response = reply(request);
            const bool keep = request.keep_alive() && response.result() == http::status::ok;
            response.keep_alive(keep);
            if (request.method() == http::verb::head) response.body().clear();
            stream.expires_after(duration(options.header_within_s));
            const auto [write_error, written] = co_await http::async_write(stream, response, quietly);
            if (write_error || !keep) break;
        }
        boost::system::error_code ignored;
        stream.socket().shutdown(tcp::socket::shutdown_both, ignored);
    }

    static Response answer(http::status status, std::string_view type = "text/plain; charset=utf-8", std::string body = {}) {
        Response response(status, 11);
        const auto set = [&](const char* name, std::string_view value) { response.set(name, beast::string_view(value.data(), value.size())); };
        set("Content-Type", type);
        set("Cache-Control", "no-store");
        set("X-Content-Type-Options", "nosniff");
        set("Referrer-Policy", "no-referrer");
        set("Cross-Origin-Resource-Policy", "same-origin");
        set("Cross-Origin-Opener-Policy", "same-origin");
        set("Content-Security-Policy",
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'");
        response.body() = body.empty() && status != http::status::ok ? std::string(http::obsolete_reason(status)) + "\n" : std::move(body);
        response.prepare_payload();
        return response;
    }

    // Status ok when the request may be answered.
    Response refusal(const Request& request, bool near) {
        const std::string_view host = field(request, "Host"), origin = field(request, "Origin"), site = field(request, "Sec-Fetch-Site");
        if (!callers->host_is_ours(host)) return answer(http::status::misdirected_request);
        const bool upgrade = websocket::is_upgrade(request);
        const bool has_origin = request.count(http::field::origin) > 0;
        if ((upgrade || has_origin) && !callers->origin_fits(origin, host)) return answer(http::status::forbidden);
        if (!site.empty() && site != "same-origin" && site != "none") return answer(http::status::forbidden);
        if (request.method() != http::verb::get && request.method() != http::verb::head) return answer(http::status::method_not_allowed);
        if (upgrade && view(request.target()) != "/live") return answer(http::status::not_found);
        if (near || let_in(request)) return answer(http::status::ok);
        if (join(request)) {
            Response response = answer(http::status::see_other);
            response.set(http::field::location, "/");
            response.set(http::field::set_cookie, std::string(cookie_name) + key + "; HttpOnly; SameSite=Strict; Path=/");
            return response;
        }
        return answer(http::status::forbidden, "text/plain; charset=utf-8", "This bench lets a device in by the one-time address in its terminal; scan that again.\n");
    }

    bool let_in(const Request& request) const {
        // Cookies know no ports: programs at other ports of this host may have left theirs.
        std::string_view rest = field(request, "Cookie");
        while (!rest.empty()) {
            const std::string_view one = rest.substr(0, rest.find("; "));
            if (one.starts_with(cookie_name) && same_key(one.substr(cookie_name.size()), key)) return true;
            rest.remove_prefix(std::min(rest.size(), one.size() + 2));
        }
        return false;
    }

    bool join(const Request& request) {
        constexpr std::string_view ask = "/?join=";
        const std::string_view target = view(request.target());
        if (!target.starts_with(ask)) return false;
        std::function<void()> tell;
        {
            const std::lock_guard lock(mutex);
            if (!same_key(target.substr(ask.size()), join_key)) return false;
            join_key = random_key();
            tell = new_key;
        }
        if (tell) tell();
        return true;
    }

    Response reply(const Request& request) const {
        const std::string_view target = view(request.target());
        const std::string_view path = target.substr(0, target.find('?'));
        constexpr std::string_view data_path = "/data/";
        if (path.starts_with(data_path)) {
            Text text;
            {
                const std::lock_guard lock(mutex);
                if (const auto found = data.find(path.substr(data_path.size())); found != data.end()) text = found->second;
            }
            return text ? answer(http::status::ok, "application/json", *text) : answer(http::status::not_found);
        }
        const PageFile* file = find_page_file(path);
        if (!file) return answer(http::status::not_found);
        std::string body(file->bytes);
        if (file->path == "/index.html")
            if (const auto at = body.find(key_place); at != std::string::npos) body.replace(at, key_place.size(), key);
        return answer(http::status::ok, file->type, std::move(body));
    }

    std::pair<Text, std::uint64_t> newest() const {
        const std::lock_guard lock(mutex);
        return {state, version};
    }

    asio::awaitable<void> live(beast::tcp_stream stream, Request request) {
        stream.expires_never();  // from here on the websocket keeps time
        const auto page = std::make_shared<Page>(std::move(stream));
        websocket::stream_base::timeout times{};
        times.handshake_timeout = duration(options.header_within_s);
        times.idle_timeout = duration(options.idle_s);
        times.keep_alive_pings = true;
        page->ws.set_option(times);
        page->ws.read_message_max(longest_page_act_bytes);
        const auto [error] = co_await page->ws.async_accept(request, quietly);
        if (error) co_return;
        page->ws.text(true);
        struct Listed {
            std::set<Page*>& all;
            Page* one;
            Listed(std::set<Page*>& a, Page* p) : all(a), one(p) { all.insert(one); }
            ~Listed() { all.erase(one); }
        } listed(pages, page.get());
        asio::co_spawn(io, tell(page), asio::detached);
        co_await listen(page);
        page->open = false;
        page->wake.cancel();
    }

    asio::awaitable<void> tell(std::shared_ptr<Page> page) {
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

    asio::awaitable<void> listen(std::shared_ptr<Page> page) {
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
                act = read_page_act({static_cast<const char*>(bytes.data()), bytes.size()}, key);
            if (!act) {
                // Not a close handshake: this is no page of ours, and a write may be in flight.
                beast::get_lowest_layer(page->ws).close();
                co_return;
            }
            if (on_act) on_act(*act);
        }
    }

    void wake_pages() {
        if (wake_posted.exchange(true)) return;
        asio::post(io, [this] {
            wake_posted = false;
            for (Page* page : pages) page->wake.cancel();
        });
    }
};

Server::Server(const ServerOptions& options, OnAct on_act) : inside_(std::make_unique<Inside>(options, std::move(on_act))) {}
Server::~Server() = default;

void Server::publish(std::string state_json) {
    auto text = std::make_shared<const std::string>(std::move(state_json));
    {
        const std::lock_guard lock(inside_->mutex);
        inside_->state.swap(text);
        ++inside_->version;
    }
    inside_->wake_pages();
}

void Server::publish_data(const std::string& name, std::string json) {
    auto text = std::make_shared<const std::string>(std::move(json));
    const std::lock_guard lock(inside_->mutex);
    inside_->data[name].swap(text);
}

void Server::on_signal(std::function<void()> what) {
    const std::lock_guard lock(inside_->mutex);
    if (!inside_->signalled) asio::co_spawn(inside_->io, inside_->wait_for_signals(), asio::detached);
    inside_->signalled = std::move(what);
}

unsigned short Server::port() const { return inside_->port; }

std::string Server::address() const { return "http://127.0.0.1:" + std::to_string(port()) + "/"; }

std::string Server::address_for_others() const {
    const std::lock_guard lock(inside_->mutex);
    if (inside_->own_addresses.empty()) return {};
    return "http://" + inside_->own_addresses.front() + ":" + std::to_string(inside_->port) + "/?join=" + inside_->join_key;
}

void Server::on_new_key(std::function<void()> what) {
    const std::lock_guard lock(inside_->mutex);
    inside_->new_key = std::move(what);
}

}  // namespace halfturn::screen
