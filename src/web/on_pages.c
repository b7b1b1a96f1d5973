/* The pages and what they are made of. Nothing of the book is in them: whoever may not read gets the same files, and
 * is refused by the routes that they ask. A tag and no fixed age, so that another program is taken at once. */
#include "book/checksum.h"
#include "draw/svg.h"
#include "web/areas.h"
#include "web/assets.h"

static int compare(const void *address, const void *asset)
{
    return strcmp(address, ((const struct asset *)asset)->address);
}

static void give(const char *address, struct http_reply *reply)
{
    const struct asset *asset = bsearch(address, assets, asset_count, sizeof *assets, compare);
    if (asset == NULL) {
        http_refuse(reply, 404, "there is no file of this name");
        return;
    }
    reply->type = asset->type;
    reply->lasting = (struct span){(const char *)asset->bytes, asset->size};
    reply->gzip = true;
    snprintf(reply->tag, sizeof reply->tag, "%s", asset->tag);
}

static void on_page(void *context, const struct http_request *request, struct http_reply *reply)
{
    give("/ui/index.html", reply);
}

/* The page says it, in the frame of the others. */
static void on_no_page(void *context, const struct http_request *request, struct http_reply *reply)
{
    on_page(context, request, reply);
    reply->status = 404;
}

static void on_file(void *context, const struct http_request *request, struct http_reply *reply)
{
    give(request->path, reply);
}

static void on_figures_style(void *context, const struct http_request *request, struct http_reply *reply)
{
    svg_add_style(&reply->body);
    reply->type = "text/css; charset=utf-8";
    snprintf(reply->tag, sizeof reply->tag, "%016llx",
             (unsigned long long)checksum((const unsigned char *)reply->body.s, reply->body.length, 0));
}

#define PAGE(address_) {.method = "GET", .pattern = (address_), .role = HTTP_ANYONE, .answer = on_page}

const struct http_route pages_routes[] = {
    PAGE("/"),
    PAGE("/compare"),
    PAGE("/sample/{}"),
    PAGE("/run/{}"),
    PAGE("/bench"),
    PAGE("/film"),
    PAGE("/plan/{}"),
    PAGE("/rig"),
    PAGE("/replies/{}"),
    PAGE("/publish/{}"),
    PAGE("/opened/{}"),
    PAGE("/add"),
    PAGE("/guides"),
    PAGE("/calculate/{}"),
    PAGE("/pair"),
    {.method = "GET", .pattern = "/{}", .role = HTTP_ANYONE, .answer = on_no_page},
    {.method = "GET", .pattern = "/ui/style/figures.css", .role = HTTP_ANYONE, .answer = on_figures_style},
    {.method = "GET", .pattern = "/ui/{}/{}", .role = HTTP_ANYONE, .answer = on_file},
    {.method = "GET", .pattern = "/ui/{}/{}/{}", .role = HTTP_ANYONE, .answer = on_file},
    {0},
};
