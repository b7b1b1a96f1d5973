#include "check.h"

#include "web/areas.h"
#include "web/assets.h"

static const struct http_route *route_of(const char *pattern)
{
    const struct http_route *route = pages_routes;
    while (route->method != NULL && strcmp(route->pattern, pattern) != 0)
        route++;
    return route->method != NULL ? route : NULL;
}

static void ask(const char *pattern, const char *path, struct http_reply *ret_reply)
{
    struct http_request request = {.method = "GET", .path = path, .session = ""};
    *ret_reply = (struct http_reply){0};
    route_of(pattern)->answer(NULL, &request, ret_reply);
}

/* RFC 1952 2.3.1: a gzip member ends with the CRC-32 and the size of what it holds, lowest byte first. */
static uint32_t word_at(struct span packed, size_t from_end)
{
    const unsigned char *p = (const unsigned char *)packed.p + packed.n - from_end;
    return (uint32_t)p[0] | (uint32_t)p[1] << 8 | (uint32_t)p[2] << 16 | (uint32_t)p[3] << 24;
}

/* RFC 1952 8, bit by bit. */
static uint32_t crc_32(const char *bytes, size_t count)
{
    uint32_t crc = 0xFFFFFFFF;
    for (size_t k = 0; k < count; k++) {
        crc ^= (unsigned char)bytes[k];
        for (int bit = 0; bit < 8; bit++)
            crc = (crc & 1) != 0 ? 0xEDB88320 ^ crc >> 1 : crc >> 1;
    }
    return ~crc;
}

TEST(a_file_is_served_as_it_is)
{
    struct text file = TEXT_EMPTY;
    struct http_reply reply;
    CHECK(text_read_file("ui/core/dom.js", 1 << 20, &file) == 0);
    ask("/ui/{}/{}", "/ui/core/dom.js", &reply);
    CHECK(reply.status == 0 && reply.gzip && !reply.kept && strlen(reply.tag) == 16);
    CHECK_TEXT(reply.type, "text/javascript; charset=utf-8");
    CHECK(crc_32("123456789", 9) == 0xCBF43926); /* the usual check value of this CRC */
    CHECK(word_at(reply.lasting, 4) == file.length && word_at(reply.lasting, 8) == crc_32(file.s, file.length));
    text_free(&file);
    ask("/ui/{}/{}", "/ui/lib/dygraph.min.js", &reply);
    CHECK(word_at(reply.lasting, 4) > 100000);
}

TEST(what_is_not_there_is_not_found)
{
    static const char *const paths[] = {"/ui/core/dom.jsx", "/ui/core/DOM.js", "/ui/../meson.build", "/ui/core/"};
    struct http_reply reply;
    for (size_t k = 0; k < sizeof paths / sizeof *paths; k++) {
        ask("/ui/{}/{}", paths[k], &reply);
        CHECK(reply.status == 404 && reply.lasting.n == 0);
        text_free(&reply.body);
    }
}

TEST(every_page_has_its_address)
{
    static const char *const pages[] = {"/", "/compare", "/sample/{}", "/run/{}", "/bench", "/film", "/plan/{}", "/rig",
                                        "/replies/{}", "/publish/{}", "/opened/{}", "/add", "/guides", "/calculate/{}", "/pair"};
    struct http_reply reply, first;
    ask("/", "/", &first);
    CHECK_TEXT(first.type, "text/html; charset=utf-8");
    for (size_t k = 0; k < sizeof pages / sizeof *pages; k++) {
        CHECK(route_of(pages[k]) != NULL);
        ask(pages[k], pages[k], &reply);
        CHECK(reply.lasting.p == first.lasting.p && reply.lasting.n == first.lasting.n);
        CHECK(route_of(pages[k])->role == HTTP_ANYONE);
    }
}

TEST(a_page_that_is_none_says_so_in_the_frame_of_the_others)
{
    struct http_reply reply, first;
    ask("/", "/", &first);
    ask("/{}", "/nowhere", &reply);
    CHECK(reply.status == 404 && reply.lasting.p == first.lasting.p);
}

TEST(pages_and_figures_share_their_colours)
{
    struct http_reply reply;
    ask("/ui/style/figures.css", "/ui/style/figures.css", &reply);
    CHECK(strstr(text_string(&reply.body), "--second") != NULL && strstr(text_string(&reply.body), "--hair") != NULL);
    CHECK(strlen(reply.tag) == 16);
    text_free(&reply.body);
}

/* Less than 300 kB for a first page, with every script and style that there is. */
TEST(all_of_it_is_small)
{
    size_t size = 0;
    for (size_t k = 0; k < asset_count; k++) {
        size += assets[k].size;
        CHECK(k == 0 || strcmp(assets[k - 1].address, assets[k].address) < 0);
    }
    printf("    %zu files, %zu bytes as sent\n", asset_count, size);
    CHECK(size < 300000);
}
