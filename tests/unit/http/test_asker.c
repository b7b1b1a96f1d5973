#include "http/asker.h"
#include "check.h"

TEST(a_server_knows_its_own_names)
{
    CHECK(asker_host_is_ours("127.0.0.1:4711", "127.0.0.1", ""));
    CHECK(asker_host_is_ours("localhost", "127.0.0.1", ""));
    CHECK(asker_host_is_ours("LocalHost:8080", "127.0.0.1", "")); /* forwarded to another port */
    CHECK(asker_host_is_ours("192.168.7.20:4711", "192.168.7.20", "hut"));
    CHECK(asker_host_is_ours("HUT:4711", "192.168.7.20", "hut"));
    CHECK(asker_host_is_ours("hut.local:4711", "192.168.7.20", "hut"));
}

TEST(no_stranger_is_taken_for_it)
{
    static const char *const hosts[] = {
        "", ":80", "rebound.example", "rebound.example:4711", "127.0.0.1.rebound.example", "localhost.rebound.example",
        "localhost:", "localhost:x", "localhost:99999999", "localhost:80:80", "127.0.0.1@rebound.example", "127.0.0.2",
        "192.168.7.21", "0.0.0.0", "[::1]:4711", "hut.locale", "hut.", "hutt", "localhost.", " localhost", "2130706433",
    };
    for (size_t k = 0; k < sizeof hosts / sizeof *hosts; k++)
        CHECK(!asker_host_is_ours(hosts[k], "192.168.7.20", "hut"));
    CHECK(!asker_host_is_ours(NULL, "192.168.7.20", "hut"));
    CHECK(!asker_host_is_ours("hut", "127.0.0.1", "")); /* not shared: the machine's name is not used */
    CHECK(!asker_host_is_ours("", "", ""));
}

TEST(an_origin_is_ours_when_it_is_the_host)
{
    CHECK(asker_origin_is_ours("http://127.0.0.1:4711", "127.0.0.1:4711"));
    CHECK(!asker_origin_is_ours("http://127.0.0.1:4712", "127.0.0.1:4711")); /* another server of this machine */
    CHECK(!asker_origin_is_ours("https://127.0.0.1:4711", "127.0.0.1:4711"));
    CHECK(!asker_origin_is_ours("http://localhost:4711", "127.0.0.1:4711"));
    CHECK(!asker_origin_is_ours("null", "127.0.0.1:4711"));
    CHECK(!asker_origin_is_ours("", "127.0.0.1:4711"));
    CHECK(!asker_origin_is_ours(NULL, "127.0.0.1:4711"));
}

TEST(only_pages_may_be_gone_to_from_elsewhere)
{
    CHECK(asker_site_is_ours(NULL, NULL, false)); /* no browser, or one that does not tell */
    CHECK(asker_site_is_ours("same-origin", "cors", false));
    CHECK(asker_site_is_ours("none", "navigate", false)); /* typed */
    CHECK(asker_site_is_ours("cross-site", "navigate", true));
    CHECK(!asker_site_is_ours("cross-site", "no-cors", true));
    CHECK(!asker_site_is_ours("cross-site", "navigate", false));
    CHECK(!asker_site_is_ours("same-site", "cors", false)); /* another port of this machine */
    CHECK(!asker_site_is_ours("cross-site", NULL, true));
    CHECK(!asker_site_is_ours("nonsense", "cors", true));
}
