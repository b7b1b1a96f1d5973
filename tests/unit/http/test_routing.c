#include "http/routing.h"
#include "check.h"

static const struct http_route some[] = {
    {.method = "GET", .pattern = "/"},
    {.method = "GET", .pattern = "/api/samples/{}"},
    {.method = "PATCH", .pattern = "/api/samples/{}"},
    {.method = "GET", .pattern = "/api/samples/new"}, /* never reached: the first that matches answers */
    {0},
};
static const struct http_route more[] = {
    {.method = "DELETE", .pattern = "/api/samples/{}"},
    {.method = "PUT", .pattern = "/api/samples/{}/papers/{}"},
    {0},
};
static const struct http_route *const tables[] = {some, more, NULL};

static const struct http_route *find(const char *method, const char *raw, const char *parts[static HTTP_PARTS],
                                     char allow[static ROUTING_ALLOW])
{
    struct target target;
    if (target_read(raw, &target, NULL) != STATUS_OK)
        return NULL;
    const struct http_route *route = routing_find(tables, method, &target, parts, allow);
    static char kept[HTTP_PARTS][64];
    for (int k = 0; route != NULL && k < HTTP_PARTS; k++) {
        if (parts[k] != NULL)
            snprintf(kept[k], sizeof kept[k], "%s", parts[k]);
        parts[k] = parts[k] != NULL ? kept[k] : NULL;
    }
    target_free(&target);
    return route;
}

TEST(a_route_is_found_with_its_parts)
{
    const char *parts[HTTP_PARTS] = {NULL};
    char allow[ROUTING_ALLOW];
    CHECK(find("GET", "/", parts, allow) == &some[0]);
    CHECK(find("HEAD", "/", parts, allow) == &some[0]);
    CHECK(find("GET", "/api/samples/new", parts, allow) == &some[1]);
    CHECK_TEXT(parts[0], "new");
    CHECK(parts[1] == NULL);
    CHECK(find("PUT", "/api/samples/7/papers/label?name=x", parts, allow) == &more[1]);
    CHECK_TEXT(parts[0], "7");
    CHECK_TEXT(parts[1], "label");
}

TEST(another_method_is_told_what_is_taken)
{
    const char *parts[HTTP_PARTS] = {NULL};
    char allow[ROUTING_ALLOW];
    CHECK(find("POST", "/api/samples/7", parts, allow) == NULL);
    CHECK_TEXT(allow, "GET, HEAD, PATCH, DELETE");
    CHECK(find("HEAD", "/api/samples/7/papers/label", parts, allow) == NULL);
    CHECK_TEXT(allow, "PUT");
    CHECK(find("get", "/", parts, allow) == NULL); /* methods are case-sensitive: RFC 9110 9.1 */
    CHECK_TEXT(allow, "GET, HEAD");
}

TEST(elsewhere_there_is_nothing)
{
    static const char *const raws[] = {"/api", "/api/", "/api/samples", "/api/samples/", "/api//7", "//", "/api/samples/7/",
                                       "/api/samples//papers/label", "/API/samples/7", "/api/samples/7/papers"};
    const char *parts[HTTP_PARTS] = {NULL};
    char allow[ROUTING_ALLOW];
    for (size_t k = 0; k < sizeof raws / sizeof *raws; k++) {
        CHECK(find("GET", raws[k], parts, allow) == NULL);
        CHECK_TEXT(allow, "");
    }
}
