#include "screen/http_reply.hpp"

#include <boost/beast/websocket/rfc6455.hpp>

namespace halfturn::screen {
namespace {

namespace http = boost::beast::http;

boost::beast::string_view beast_view(std::string_view text) { return {text.data(), text.size()}; }

std::string_view field(const RequestHeader& request, std::string_view name) {
    // A field given twice is as good as none: two readers could take different ones.
    return request.count(beast_view(name)) == 1 ? view(request[beast_view(name)]) : std::string_view();
}

}  // namespace

Response response_of(http::status status, std::string_view type, std::string body) {
    Response response(status, 11);
    const auto set = [&](const char* name, std::string_view value) { response.set(name, beast_view(value)); };
    set("Content-Type", type.empty() ? plain_text : type);
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

http::status status_of(const boost::system::error_code& error) {
    if (error == http::error::header_limit) return http::status::request_header_fields_too_large;
    if (error == http::error::body_limit) return http::status::payload_too_large;
    return http::status::bad_request;
}

Response greeting(Door& door, const RequestHeader& request, bool near) {
    const RequestHead head{view(request.method_string()), view(request.target()), field(request, "Host"), field(request, "Origin"),
                           field(request, "Sec-Fetch-Site"), field(request, "Cookie"), field(request, "X-Halfturn-Key"),
                           boost::beast::websocket::is_upgrade(request), request.count(http::field::origin) > 0, near};
    switch (door.answer_to(head)) {
        case Door::Say::enter: return response_of(http::status::ok);
        case Door::Say::other_host: return response_of(http::status::misdirected_request);
        case Door::Say::other_site: return response_of(http::status::forbidden);
        case Door::Say::method: return response_of(http::status::method_not_allowed);
        case Door::Say::no_such_place: return response_of(http::status::not_found);
        case Door::Say::join: {
            Response response = response_of(http::status::see_other);
            response.set(http::field::location, "/");
            response.set(http::field::set_cookie, std::string(Door::cookie_name) + door.key() + "; HttpOnly; SameSite=Strict; Path=/");
            return response;
        }
        case Door::Say::stranger: break;
    }
    return response_of(http::status::forbidden, plain_text,
                       "This bench lets a device in by the one-time address in its terminal; scan that again.\n");
}

}  // namespace halfturn::screen
