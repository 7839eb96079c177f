#include "screen/server.hpp"

#include <fcntl.h>

#include <boost/asio.hpp>
#include <boost/beast.hpp>
#include <chrono>
#include <mutex>
#include <thread>

#include "core/failure.hpp"
#include "screen/clerk.hpp"
#include "screen/door.hpp"
#include "screen/http_reply.hpp"
#include "screen/live_pages.hpp"
#include "screen/page_files.hpp"

namespace halfturn::screen {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
namespace websocket = beast::websocket;
using asio::ip::tcp;
using Clock = std::chrono::steady_clock;

constexpr std::size_t most_header_bytes = 8 * 1024;
constexpr int most_requests = 400;                       // on one connection
constexpr int send_buffer_bytes = 64 * 1024;             // what a page that does not read may hold of the kernel's memory
constexpr std::string_view key_place = "@KEY@";
constexpr std::string_view data_path = "/data/";
constexpr std::size_t most_uploads = 2;                  // at once; each may hold the largest upload in memory

Clock::duration duration(double s) { return std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(s)); }

// A program started from here must not hold our connections open after we have closed them.
void keep_to_ourselves(int descriptor) { ::fcntl(descriptor, F_SETFD, FD_CLOEXEC); }

template <typename AnyRequest>
Question question_of(const AnyRequest& request) {
    const std::string_view target = view(request.target());
    const auto mark = target.find('?');
    Question question;
    question.path = target.substr(0, mark);
    if (mark != std::string_view::npos) question.query = target.substr(mark + 1);
    return question;
}

// The page's own files; the bench page is given the key that its acts carry.
Response page_file(std::string_view path, const Door& door) {
    const PageFile* file = find_page_file(path);
    if (!file) return response_of(http::status::not_found);
    std::string body(file->bytes);
    if (file->path == "/index.html")
        if (const auto at = body.find(key_place); at != std::string::npos) body.replace(at, key_place.size(), door.key());
    return response_of(http::status::ok, file->type, std::move(body));
}

}  // namespace

struct Server::Inside {
    ServerOptions options;
    std::vector<std::string> own_addresses;
    unsigned short port = 0;
    std::unique_ptr<Door> door;

    std::mutex mutex;  // guards the next one
    std::function<void()> signalled;

    std::size_t connections = 0, uploads = 0;
    std::unique_ptr<LivePages> pages;
    Clerk clerk;
    asio::io_context io{1};  // after all that what runs in it looks at: it is taken down first
    std::thread thread;

    Inside(const ServerOptions& how, OnAct on_act) : options(how) {
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
            pages =
                std::make_unique<LivePages>(io, LivePages::Limits{duration(options.header_within_s), duration(options.idle_s)},
                                            door->key(), std::move(on_act));
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
        clerk.end();
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
            Response response = error ? response_of(status_of(error)) : greeting(*door, parser.get(), near);
            bool keep = !error && response.result() == http::status::ok && parser.get().keep_alive();
            const bool head_only = !error && parser.get().method() == http::verb::head;
            if (response.result() == http::status::ok && websocket::is_upgrade(parser.get())) {
                co_await pages->serve(std::move(stream), parser.release());
                co_return;
            }
            if (response.result() == http::status::ok) {
                if (parser.get().method() == http::verb::post) response = co_await take_upload(stream, buffer, parser);
                else if (!parser.is_done()) response = response_of(http::status::bad_request);   // a body where none belongs
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

    asio::awaitable<Response> take_upload(beast::tcp_stream& stream, beast::flat_buffer& buffer,
                                          http::request_parser<http::empty_body>& head) {
        if (uploads >= most_uploads) co_return response_of(http::status::service_unavailable);
        struct Counted {
            std::size_t& count;
            explicit Counted(std::size_t& c) : count(c) { ++count; }
            ~Counted() { --count; }
        } counted(uploads);
        http::request_parser<http::string_body> parser(std::move(head));
        stream.expires_after(duration(options.upload_within_s));
        const auto [error, count] = co_await http::async_read(stream, buffer, parser, quietly);
        if (error) co_return response_of(status_of(error));
        Question question = question_of(parser.get());
        question.post = true;
        question.body = std::move(parser.get().body());
        co_return co_await reply(std::move(question));
    }

    // A file of the page, something published, or what somebody answers on the clerk's thread.
    asio::awaitable<Response> reply(Question question) {
        const std::string_view path = question.path;
        if (path.starts_with(data_path)) {
            std::string rest(path.substr(data_path.size()));
            Answer found = co_await clerk.reply(std::move(rest), std::move(question));
            co_return response_of(static_cast<http::status>(found.status), found.type, std::move(found.body));
        }
        if (question.post) co_return response_of(http::status::method_not_allowed);
        co_return page_file(path, *door);
    }
};

Server::Server(const ServerOptions& options, OnAct on_act) : inside_(std::make_unique<Inside>(options, std::move(on_act))) {}
Server::~Server() = default;

void Server::publish(std::string state_json) { inside_->pages->publish(std::move(state_json)); }

void Server::publish_data(const std::string& name, std::string json) { inside_->clerk.publish(name, std::move(json)); }

void Server::answer(const std::string& name, Answering by) { inside_->clerk.answer(name, std::move(by)); }

void Server::on_signal(std::function<void()> what) {
    const std::lock_guard lock(inside_->mutex);
    if (!inside_->signalled) asio::co_spawn(inside_->io, inside_->wait_for_signals(), asio::detached);
    inside_->signalled = std::move(what);
}

unsigned short Server::port() const { return inside_->port; }

std::string Server::address() const { return "http://127.0.0.1:" + std::to_string(port()) + "/"; }

std::vector<std::string> Server::addresses_for_others() const {
    std::vector<std::string> out;
    for (const auto& own : inside_->own_addresses)
        out.push_back("http://" + own + ":" + std::to_string(inside_->port) + "/?join=" + inside_->door->join_key());
    return out;
}

void Server::on_new_key(std::function<void()> what) { inside_->door->on_new_join_key(std::move(what)); }

}  // namespace halfturn::screen
