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
#include "screen/door.hpp"
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
constexpr std::string_view data_path = "/data/";
constexpr std::size_t most_uploads = 2;                  // at once; each may hold the largest upload in memory
constexpr std::size_t most_questions = 32;               // waiting for an answer

Clock::duration duration(double s) { return std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(s)); }

std::string_view view(beast::string_view text) { return {text.data(), text.size()}; }

template <typename AnyRequest>
std::string_view field(const AnyRequest& request, std::string_view name) {
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
    std::vector<std::string> own_addresses;
    unsigned short port = 0;
    std::unique_ptr<Door> door;

    mutable std::mutex mutex;  // guards the next five
    Text state = std::make_shared<const std::string>(alive);
    std::uint64_t version = 1;
    std::map<std::string, Text, std::less<>> data;
    std::map<std::string, std::shared_ptr<const Answering>, std::less<>> answering;
    std::function<void()> signalled;

    std::atomic<bool> wake_posted{false};
    std::set<Page*> pages;
    std::size_t connections = 0, uploads = 0, questions = 0;
    asio::io_context io{1};  // after all that what runs in it looks at: it is taken down first
    asio::thread_pool clerk{1};  // answers questions, one after the other: reading a store takes its time
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
            door = std::make_unique<Door>(names, port);
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
        clerk.join();
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
            parser.body_limit(options.largest_upload_bytes);
            stream.expires_after(duration(options.header_within_s));
            const auto [error, count] = co_await http::async_read_header(stream, buffer, parser, quietly);
            if (error == http::error::end_of_stream || error == beast::error::timeout) break;
            Response response = error ? answer(status_of(error)) : greet(parser.get(), near);
            bool keep = !error && response.result() == http::status::ok && parser.get().keep_alive();
            const bool head_only = !error && parser.get().method() == http::verb::head;
            if (response.result() == http::status::ok && websocket::is_upgrade(parser.get())) {
                co_await live(std::move(stream), parser.release());
                co_return;
            }
            if (response.result() == http::status::ok) {
                if (parser.get().method() == http::verb::post) response = co_await take_upload(stream, buffer, parser);
                else if (!parser.is_done()) response = answer(http::status::bad_request);   // a body where none belongs
                else response = co_await reply(question_of(parser.get()));
                keep = keep && response.result() == http::status::ok;
            }
            response.keep_alive(keep);
            if (head_only) response.body().clear();
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

    static http::status status_of(const boost::system::error_code& error) {
        if (error == http::error::header_limit) return http::status::request_header_fields_too_large;
        if (error == http::error::body_limit) return http::status::payload_too_large;
        return http::status::bad_request;
    }

    // Status ok when the request may be answered.
    template <typename AnyRequest>
    Response greet(const AnyRequest& request, bool near) {
        const RequestHead head{view(request.method_string()), view(request.target()), field(request, "Host"), field(request, "Origin"),
                               field(request, "Sec-Fetch-Site"), field(request, "Cookie"), field(request, "X-Halfturn-Key"),
                               websocket::is_upgrade(request), request.count(http::field::origin) > 0, near};
        switch (door->answer_to(head)) {
            case Door::Say::enter: return answer(http::status::ok);
            case Door::Say::other_host: return answer(http::status::misdirected_request);
            case Door::Say::other_site: return answer(http::status::forbidden);
            case Door::Say::method: return answer(http::status::method_not_allowed);
            case Door::Say::no_such_place: return answer(http::status::not_found);
            case Door::Say::join: {
                Response response = answer(http::status::see_other);
                response.set(http::field::location, "/");
                response.set(http::field::set_cookie, std::string(Door::cookie_name) + door->key() + "; HttpOnly; SameSite=Strict; Path=/");
                return response;
            }
            case Door::Say::stranger: break;
        }
        return answer(http::status::forbidden, "text/plain; charset=utf-8", "This bench lets a device in by the one-time address in its terminal; scan that again.\n");
    }

    template <typename AnyRequest>
    static Question question_of(const AnyRequest& request) {
        const std::string_view target = view(request.target());
        const auto mark = target.find('?');
        Question question;
        question.path = target.substr(0, mark);
        if (mark != std::string_view::npos) question.query = target.substr(mark + 1);
        return question;
    }

    asio::awaitable<Response> take_upload(beast::tcp_stream& stream, beast::flat_buffer& buffer, http::request_parser<http::empty_body>& head) {
        if (uploads >= most_uploads) co_return answer(http::status::service_unavailable);
        struct Counted {
            std::size_t& count;
            explicit Counted(std::size_t& c) : count(c) { ++count; }
            ~Counted() { --count; }
        } counted(uploads);
        http::request_parser<http::string_body> parser(std::move(head));
        stream.expires_after(duration(options.upload_within_s));
        const auto [error, count] = co_await http::async_read(stream, buffer, parser, quietly);
        if (error) co_return answer(status_of(error));
        Question question = question_of(parser.get());
        question.post = true;
        question.body = std::move(parser.get().body());
        co_return co_await reply(std::move(question));
    }

    // A file of the page, something published, or what somebody answers on the clerk's thread.
    asio::awaitable<Response> reply(Question question) {
        const std::string_view path = question.path;
        if (path.starts_with(data_path)) {
            const std::string_view rest = path.substr(data_path.size());
            Text text;
            std::shared_ptr<const Answering> by;
            {
                const std::lock_guard lock(mutex);
                if (const auto found = data.find(rest); found != data.end()) text = found->second;
                if (const auto found = answering.find(rest.substr(0, rest.find('/'))); found != answering.end()) by = found->second;
            }
            if (text && !question.post) co_return answer(http::status::ok, "application/json", *text);
            if (!by) co_return answer(http::status::not_found);
            if (questions >= most_questions) co_return answer(http::status::service_unavailable);
            ++questions;
            const auto slash = rest.find('/');
            question.path = slash == std::string_view::npos ? std::string() : std::string(rest.substr(slash + 1));
            auto [problem, found] = co_await asio::co_spawn(clerk.get_executor(), ask(by, std::move(question)), quietly);
            --questions;
            if (problem) co_return answer(http::status::internal_server_error);
            co_return answer(static_cast<http::status>(found.status), found.type, std::move(found.body));
        }
        if (question.post) co_return answer(http::status::method_not_allowed);
        const PageFile* file = find_page_file(path);
        if (!file) co_return answer(http::status::not_found);
        std::string body(file->bytes);
        if (file->path == "/index.html")
            if (const auto at = body.find(key_place); at != std::string::npos) body.replace(at, key_place.size(), door->key());
        co_return answer(http::status::ok, file->type, std::move(body));
    }

    static asio::awaitable<Answer> ask(std::shared_ptr<const Answering> by, Question question) {
        try {
            co_return (*by)(question);
        } catch (const BadInput& problem) {
            co_return Answer{400, "text/plain; charset=utf-8", problem.what()};
        } catch (const Failure& problem) {
            co_return Answer{500, "text/plain; charset=utf-8", problem.what()};
        }
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
                act = read_page_act({static_cast<const char*>(bytes.data()), bytes.size()}, door->key());
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

std::vector<std::string> Server::addresses_for_others() const {
    std::vector<std::string> out;
    for (const auto& own : inside_->own_addresses) out.push_back("http://" + own + ":" + std::to_string(inside_->port) + "/?join=" + inside_->door->join_key());
    return out;
}

void Server::on_new_key(std::function<void()> what) { inside_->door->on_new_join_key(std::move(what)); }

void Server::answer(const std::string& name, Answering by) {
    auto shared = std::make_shared<const Answering>(std::move(by));
    const std::lock_guard lock(inside_->mutex);
    inside_->answering[name].swap(shared);
}

}  // namespace halfturn::screen
