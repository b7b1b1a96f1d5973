#include "http/target.h"
#include "check.h"

static bool refused(const char *raw)
{
    struct target target;
    struct message message = {0};
    if (target_read(raw, &target, &message) == STATUS_OK) {
        target_free(&target);
        return false;
    }
    return message.what[0] != '\0';
}

TEST(an_address_is_split_and_then_decoded)
{
    struct target target;
    CHECK(target_read("/api/samples/H%C3%BCtte%203?from=1.5&x=a%26b+c&flag&=odd", &target, NULL) == STATUS_OK);
    CHECK_TEXT(target.path, "/api/samples/H\u00fctte 3");
    CHECK_TEXT(target.segments[0], "api");
    CHECK_TEXT(target.segments[2], "H\u00fctte 3");
    CHECK(target.segments[3] == NULL);
    CHECK_TEXT(target.query[0].name, "from");
    CHECK_TEXT(target.query[0].value, "1.5");
    CHECK_TEXT(target.query[1].value, "a&b c");
    CHECK_TEXT(target.query[2].name, "flag");
    CHECK_TEXT(target.query[2].value, "");
    CHECK_TEXT(target.query[3].name, "");
    CHECK(target.query[4].name == NULL);
    target_free(&target);
}

TEST(the_root_has_no_segments)
{
    struct target target;
    CHECK(target_read("/?", &target, NULL) == STATUS_OK);
    CHECK_TEXT(target.path, "/");
    CHECK(target.segments[0] == NULL && target.query[0].name == NULL);
    target_free(&target);
    CHECK(target_read("/a//b/", &target, NULL) == STATUS_OK);
    CHECK_TEXT(target.segments[1], "");
    CHECK_TEXT(target.segments[3], "");
    CHECK_TEXT(target.path, "/a//b/");
    target_free(&target);
}

TEST(what_is_encoded_twice_is_decoded_once)
{
    struct target target;
    CHECK(target_read("/ui/%252e%252e/x", &target, NULL) == STATUS_OK);
    CHECK_TEXT(target.segments[1], "%2e%2e");
    target_free(&target);
}

TEST(no_address_leads_elsewhere)
{
    static const char *const raws[] = {
        "", "*", "api", "http://127.0.0.1/", "//../", "/..", "/../etc/passwd", "/ui/..", "/ui/../x", "/ui/%2e%2e/x",
        "/ui/.%2E/x", "/ui/./x", "/ui/%2e", "/a%2fb", "/a%2Fb", "/a%00", "/a%00b?x", "/%0a", "/%0d%0aSet-Cookie:x", "/%7f",
        "/%", "/%4", "/%zz", "/%-1", "/%+1", "/%c3", "/%c0%af", "/%ed%a0%80", "/%f5%80%80%80", "/\xff", "/a\tb", "/?x=%00",
        "/?%0a=1", "/?x=%c3%28", "/?x=%4", "/1/2/3/4/5/6/7/8/9/10/11/12/13",
        "/?a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a&a",
    };
    for (size_t k = 0; k < sizeof raws / sizeof *raws; k++)
        if (!refused(raws[k]))
            test_failed(__FILE__, __LINE__, raws[k]);
}

/* Every short line of the characters that matter, also beyond what the tables above think of: nothing that comes
 * through holds a way out. */
TEST(all_short_addresses_are_safe)
{
    static const char letters[] = "/.%2efF0?&=+\xc3\xa9";
    enum { COUNT = sizeof letters - 1, LONG = 6 };
    long seen = 0, taken = 0;
    for (long n = 0; n < 14L * 14 * 14 * 14 * 14; n++, seen++) {
        char raw[LONG + 1] = "/";
        long rest = n;
        for (int k = 1; k < LONG; k++, rest /= COUNT)
            raw[k] = letters[rest % COUNT];
        struct target target;
        if (target_read(raw, &target, NULL) != STATUS_OK)
            continue;
        taken++;
        for (const char *const *s = target.segments; *s != NULL; s++)
            if (strcmp(*s, "..") == 0 || strcmp(*s, ".") == 0 || strchr(*s, '/') != NULL)
                test_failed(__FILE__, __LINE__, raw);
        target_free(&target);
    }
    CHECK(COUNT == 14 && taken > 1000 && taken < seen);
}
