// Who is let in and what may be asked, decided from a request's head alone. Nothing here waits, reads or writes a socket.
//   Door door({"127.0.0.1", "localhost"}, port);
//   if (door.answer_to(head) == Door::Say::enter) …
#pragma once

#include <functional>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "screen/callers.hpp"

namespace halfturn::screen {

// What the door looks at. A field that came twice counts as empty: two readers could take different ones.
struct RequestHead {
    std::string_view method, target, host, origin, site, cookie, key;
    bool upgrade = false, has_origin = false;
    bool near = false;   // from this machine's loopback
};

class Door {
public:
    Door(const std::vector<std::string>& names, unsigned short port) : callers_(names, port) {}

    enum class Say {
        enter,
        join,              // a device that brought the one-time key: it gets the cookie, and there is a new key
        other_host,        // 421: the Host is not on the list
        other_site,        // 403: a page of some other site asks, or a write came without the page's key
        stranger,          // 403: another device without the cookie
        method,            // 405
        no_such_place,     // 404: a socket anywhere but at /live
    };
    // GET, HEAD and a socket at /live for whoever is let in; POST only from our own page, with its key.
    Say answer_to(const RequestHead& head);

    // Given to our own page, and to a device that joined.
    const std::string& key() const { return key_; }
    // Good for one device; after that another one is, and `on_new` is called.
    std::string join_key() const;
    void on_new_join_key(std::function<void()> on_new);

    static constexpr std::string_view cookie_name = "halfturn=";

private:
    bool has_cookie(std::string_view cookies) const;
    bool join(std::string_view target);

    Callers callers_;
    const std::string key_ = random_key();
    mutable std::mutex mutex_;  // guards the next two
    std::string join_key_ = random_key();
    std::function<void()> on_new_;
};

}  // namespace halfturn::screen
