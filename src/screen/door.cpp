#include "screen/door.hpp"

#include <algorithm>

#include "screen/page_act.hpp"

namespace halfturn::screen {

Door::Say Door::answer_to(const RequestHead& head) {
    if (!callers_.host_is_ours(head.host)) return Say::other_host;
    const bool writes = head.method == "POST";
    // A browser names the origin of a socket and of a write; a plain visit has none.
    if ((head.upgrade || head.has_origin || writes) && !callers_.origin_fits(head.origin, head.host)) return Say::other_site;
    if (!head.site.empty() && head.site != "same-origin" && head.site != "none") return Say::other_site;
    if (head.method != "GET" && head.method != "HEAD" && !writes) return Say::method;
    if (head.upgrade && (head.target != "/live" || head.method != "GET")) return Say::no_such_place;
    if (!head.near && !has_cookie(head.cookie)) return join(head.target) ? Say::join : Say::stranger;
    if (writes && !same_key(head.key, key_)) return Say::other_site;
    return Say::enter;
}

bool Door::has_cookie(std::string_view rest) const {
    // Cookies know no ports: programs at other ports of this host may have left theirs.
    while (!rest.empty()) {
        const std::string_view one = rest.substr(0, rest.find("; "));
        if (one.starts_with(cookie_name) && same_key(one.substr(cookie_name.size()), key_)) return true;
        rest.remove_prefix(std::min(rest.size(), one.size() + 2));
    }
    return false;
}

bool Door::join(std::string_view target) {
    constexpr std::string_view ask = "/?join=";
    if (!target.starts_with(ask)) return false;
    std::function<void()> tell;
    {
        const std::lock_guard lock(mutex_);
        if (!same_key(target.substr(ask.size()), join_key_)) return false;
        join_key_ = random_key();
        tell = on_new_;
    }
    if (tell) tell();
    return true;
}

std::string Door::join_key() const {
    const std::lock_guard lock(mutex_);
    return join_key_;
}

void Door::on_new_join_key(std::function<void()> on_new) {
    const std::lock_guard lock(mutex_);
    on_new_ = std::move(on_new);
}

}  // namespace halfturn::screen
