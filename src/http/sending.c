#include "http/sending.h"

#include "base/memory.h"

#include <ctype.h>
#include <zlib.h>

enum { LEAST_TO_PRESS = 1400, GZIP_WINDOW = 15 + 16 }; /* what one packet holds anyway; zlib.h: deflateInit2 */

/* Everything from here; no inline script or style; framed by our own pages alone. */
static const char policy[] =
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "font-src 'self'; frame-src 'self' blob:; frame-ancestors 'self'; base-uri 'none'; form-action 'none'; "
    "object-src 'none'";
/* A document that stands by itself: its own styles and pictures, no script, an origin of nobody. */
static const char policy_apart[] = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; "
                                   "frame-ancestors 'self'; base-uri 'none'; form-action 'none'; sandbox";

static void add(struct MHD_Response *response, const char *name, const char *value)
{
    /* Fails only for want of memory or on a line feed, which none of these values can hold. */
    if (MHD_add_response_header(response, name, value) != MHD_YES)
        abort();
}

void sending_add_guards(struct MHD_Response *response, bool apart)
{
    add(response, "Content-Security-Policy", apart ? policy_apart : policy);
    add(response, "X-Content-Type-Options", "nosniff");
    add(response, "X-Frame-Options", "SAMEORIGIN");
    add(response, "Referrer-Policy", "no-referrer");
    add(response, "Cross-Origin-Resource-Policy", "same-origin");
}

bool sending_names_tag(const char *list, const char *tag)
{
    size_t n = strlen(tag);
    for (const char *p = list; p != NULL && *p != '\0' && n > 0;) {
        p += strspn(p, ", \t");
        if (*p == '*')
            return true;
        if (strncmp(p, "W/", 2) == 0)
            p += 2;
        if (*p != '"')
            return false;
        size_t m = strcspn(++p, "\"");
        if (m == n && memcmp(p, tag, n) == 0)
            return true;
        p += m + (p[m] == '"');
    }
    return false;
}

/* Digits alone; false when there are none or too many to count. */
static bool read_place(const char **at, size_t *ret_place)
{
    size_t n = strspn(*at, "0123456789");
    if (n == 0 || n > 18)
        return false;
    *ret_place = (size_t)strtoull(*at, NULL, 10);
    *at += n;
    return true;
}

int sending_range(const char *header, size_t size, size_t *ret_first, size_t *ret_count)
{
    size_t first = 0, last = 0;
    if (header == NULL || strncmp(header, "bytes=", 6) != 0)
        return 200;
    const char *p = header + 6;
    bool has_first = isdigit((unsigned char)*p) != 0;
    if ((has_first && !read_place(&p, &first)) || *p++ != '-')
        return 200;
    bool has_last = isdigit((unsigned char)*p) != 0;
    if ((has_last && !read_place(&p, &last)) || *p != '\0' || !(has_first || has_last) ||
        (has_first && has_last && last < first))
        return 200;
    if (!has_first) { /* the last so many */
        first = last == 0 ? size : last < size ? size - last : 0;
        has_last = false;
    }
    if (first >= size)
        return 416;
    *ret_first = first;
    *ret_count = (has_last && last < size ? last + 1 : size) - first;
    return 206;
}

/* Whether `coding` is among those the peer takes (RFC 9110 12.5.3); one that is weighed 0 is not. */
static bool takes_gzip(const char *list)
{
    const char *p = list != NULL ? strstr(list, "gzip") : NULL;
    if (p == NULL)
        return false;
    p += strlen("gzip");
    return strncmp(p, ";q=0", 4) != 0 || (p[4] == '.' && strspn(p + 5, "0") != strcspn(p + 5, ", "));
}

static bool pays(const struct http_reply *reply)
{
    const char *type = reply->type;
    return reply->body.length >= LEAST_TO_PRESS && !reply->gzip &&
           (type == NULL || strncmp(type, "text/", 5) == 0 || strncmp(type, "application/json", 16) == 0 ||
            strncmp(type, "image/svg", 9) == 0);
}

/* Leaves the body as it is when it cannot be pressed. */
static void press(struct http_reply *reply)
{
    z_stream stream = {0};
    struct text pressed = TEXT_EMPTY;
    if (deflateInit2(&stream, Z_BEST_SPEED, Z_DEFLATED, GZIP_WINDOW, 8, Z_DEFAULT_STRATEGY) != Z_OK)
        return;
    size_t room = deflateBound(&stream, reply->body.length);
    pressed = (struct text){memory_get(room + 1), 0, room + 1};
    stream.next_in = (unsigned char *)reply->body.s;
    stream.avail_in = (unsigned)reply->body.length;
    stream.next_out = (unsigned char *)pressed.s;
    stream.avail_out = (unsigned)room;
    int done = deflate(&stream, Z_FINISH);
    pressed.length = room - stream.avail_out;
    deflateEnd(&stream);
    struct text *loser = done == Z_STREAM_END ? &reply->body : &pressed, kept = done == Z_STREAM_END ? pressed : reply->body;
    text_free(loser);
    reply->body = kept;
    reply->gzip = done == Z_STREAM_END;
}

/* Bytes that every file system and header can hold stand as they are in the plain form (RFC 6266 4.3, RFC 8187). */
static void add_file_name(struct MHD_Response *response, const char *name)
{
    struct text text = TEXT_EMPTY;
    text_add(&text, "attachment; filename=\"");
    for (const char *p = name; *p != '\0'; p++)
        text_addf(&text, "%c", *p < ' ' || *p == '"' || *p == '\\' || *p == '/' || *p == 0x7F ? '_' : *p);
    text_add(&text, "\"; filename*=UTF-8''");
    for (const unsigned char *p = (const unsigned char *)name; *p != '\0'; p++)
        text_addf(&text, isalnum(*p) || strchr("-._", *p) != NULL ? "%c" : "%%%02X", *p);
    add(response, "Content-Disposition", text_string(&text));
    text_free(&text);
}

static void add_headers(struct MHD_Response *response, const struct http_reply *reply)
{
    char tag[sizeof reply->tag + 4];
    sending_add_guards(response, reply->apart);
    add(response, "Cache-Control",
        reply->kept             ? "private, max-age=31536000, immutable"
        : reply->tag[0] != '\0' ? "private, no-cache"
                                : "no-store");
    add(response, "Vary", "Accept-Encoding");
    snprintf(tag, sizeof tag, "\"%s\"", reply->tag);
    if (reply->tag[0] != '\0')
        add(response, "ETag", tag);
    if (reply->cookie[0] != '\0')
        add(response, "Set-Cookie", reply->cookie);
    if (reply->allow[0] != '\0')
        add(response, "Allow", reply->allow);
}

static void add_content_headers(struct MHD_Response *response, const struct http_reply *reply)
{
    add(response, "Content-Type", reply->type != NULL ? reply->type : "application/json");
    if (reply->gzip)
        add(response, "Content-Encoding", "gzip");
    if (reply->file_name[0] != '\0')
        add_file_name(response, reply->file_name);
}

static struct MHD_Response *of_bytes(struct http_reply *reply, size_t first, size_t count)
{
    struct MHD_Response *response;
    char *lasting = NULL;
    memcpy(&lasting, &reply->lasting.p, sizeof lasting); /* only read: the library knows no const here */
    if (lasting != NULL || reply->body.s == NULL)
        return MHD_create_response_from_buffer(count, lasting != NULL ? lasting + first : NULL, MHD_RESPMEM_PERSISTENT);
    response = MHD_create_response_from_buffer_with_free_callback_cls(count, reply->body.s + first, free, reply->body.s);
    reply->body = response != NULL ? TEXT_EMPTY : reply->body;
    return response;
}

struct MHD_Response *sending_make(struct http_reply *reply, const struct sending_wish *wish, int *ret_status,
                                  size_t *ret_size)
{
    int status = reply->status != 0 ? reply->status : 200;
    bool plain = status == 200;
    if (plain && wish->range == NULL && pays(reply) && takes_gzip(wish->accept_encoding))
        press(reply);
    size_t size = reply->lasting.p != NULL ? reply->lasting.n : reply->body.length, first = 0, count = size;
    if (plain && sending_names_tag(wish->if_none_match, reply->tag))
        status = 304, count = 0;
    else if (plain && (wish->if_range == NULL || sending_names_tag(wish->if_range, reply->tag)))
        status = sending_range(wish->range, size, &first, &count);
    if (status == 416)
        count = 0;
    struct MHD_Response *response = of_bytes(reply, first, count);
    if (response == NULL)
        return NULL;
    add_headers(response, reply);
    if (status != 304 && status != 416)
        add_content_headers(response, reply);
    if (status == 200)
        add(response, "Accept-Ranges", "bytes");
    char place[80] = "";
    if (status == 206)
        snprintf(place, sizeof place, "bytes %zu-%zu/%zu", first, first + count - 1, size);
    if (status == 416)
        snprintf(place, sizeof place, "bytes */%zu", size);
    if (place[0] != '\0')
        add(response, "Content-Range", place);
    *ret_status = status;
    *ret_size = count;
    return response;
}
