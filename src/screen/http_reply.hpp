// HTTP as the page's server speaks it: what is read of a request's head, and responses that carry the headers of ours.
#pragma once

#include <boost/beast/http.hpp>
#include <string>
#include <string_view>

#include "screen/door.hpp"

namespace halfturn::screen {

using Response = boost::beast::http::response<boost::beast::http::string_body>;
using RequestHeader = boost::beast::http::request_header<>;

inline std::string_view view(boost::beast::string_view text) { return {text.data(), text.size()}; }

constexpr std::string_view plain_text = "text/plain; charset=utf-8";

// An empty body for anything but ok becomes the status in words. Only our own scripts, styles and pictures may run in it.
Response response_of(boost::beast::http::status status, std::string_view type = plain_text, std::string body = {});

// The status for a request that could not be read.
boost::beast::http::status status_of(const boost::system::error_code& error);

// What the door says of it, as a response; status ok when the request may be answered. `near`: from this machine.
Response greeting(Door& door, const RequestHeader& request, bool near);

}  // namespace halfturn::screen
