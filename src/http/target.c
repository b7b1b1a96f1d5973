#include "http/target.h"

#include "base/memory.h"

#include <ctype.h>

/* Decodes one piece and ends it; false when it is not to be had. `plus`: + is a blank, as forms write it. */
static bool decode(struct span raw, bool plus, char **at)
{
    char *start = *at;
    for (size_t k = 0; k < raw.n; k++) {
        unsigned value = (unsigned char)raw.p[k];
        if (value == '%') {
            char digits[3] = {0};
            char *end = NULL;
            if (k + 2 >= raw.n || !isxdigit((unsigned char)raw.p[k + 1]) || !isxdigit((unsigned char)raw.p[k + 2]))
                return false;
            memcpy(digits, raw.p + k + 1, 2);
            value = (unsigned)strtoul(digits, &end, 16);
            k += 2;
        } else if (value == '+' && plus) {
            value = ' ';
        }
        if (value < ' ' || value == 0x7F)
            return false;
        *(*at)++ = (char)value;
    }
    struct span done = {start, (size_t)(*at - start)};
    *(*at)++ = '\0';
    return span_bad_utf8(done) == done.n;
}

static struct span cut(struct span *rest, char mark)
{
    const char *end = rest->n > 0 ? memchr(rest->p, mark, rest->n) : NULL;
    struct span piece = {rest->p, end != NULL ? (size_t)(end - rest->p) : rest->n};
    size_t gone = piece.n + (end != NULL);
    *rest = (struct span){rest->p + gone, rest->n - gone};
    return piece;
}

static bool read_segments(struct span path, struct target *target, char **at)
{
    size_t count = 0;
    for (bool more = path.n > 0; more; count++) {
        more = memchr(path.p, '/', path.n) != NULL;
        struct span piece = cut(&path, '/');
        const char *segment = *at;
        if (count == TARGET_SEGMENTS || !decode(piece, false, at))
            return false;
        if (strchr(segment, '/') != NULL || strcmp(segment, ".") == 0 || strcmp(segment, "..") == 0)
            return false;
        target->segments[count] = segment;
    }
    return true;
}

static bool read_query(struct span query, struct target *target, char **at)
{
    for (size_t count = 0; query.n > 0;) {
        struct span value = cut(&query, '&');
        if (value.n == 0)
            continue;
        struct span name = cut(&value, '=');
        if (count == TARGET_PAIRS)
            return false;
        target->query[count].name = *at;
        if (!decode(name, true, at))
            return false;
        target->query[count++].value = *at;
        if (!decode(value, true, at))
            return false;
    }
    return true;
}

static void join(struct target *target, char **at)
{
    target->path = *at;
    for (size_t k = 0; target->segments[k] != NULL; k++) {
        size_t n = strlen(target->segments[k]);
        *(*at)++ = '/';
        memcpy(*at, target->segments[k], n);
        *at += n;
    }
    if (*at == target->path)
        *(*at)++ = '/';
    *(*at)++ = '\0';
}

enum status target_read(const char *raw, struct target *ret_target, struct message *message)
{
    struct target target = {0};
    struct span rest = span_of(raw);
    if (rest.n == 0 || raw[0] != '/') {
        status_fail(message, STATUS_MALFORMED, "this is no path of this server");
        return status_remedy(message, "a request begins with /");
    }
    rest.p++, rest.n--;
    struct span path = cut(&rest, '?');
    /* Each piece once, the path twice, a terminator for each: decoding never lengthens. */
    target.decoded = memory_get(2 * strlen(raw) + 2 * TARGET_SEGMENTS + 2 * TARGET_PAIRS + 8);
    char *at = target.decoded;
    if (!read_segments(path, &target, &at) || !read_query(rest, &target, &at)) {
        free(target.decoded);
        return status_fail(message, STATUS_MALFORMED, "this address cannot be taken apart");
    }
    join(&target, &at);
    *ret_target = target;
    return STATUS_OK;
}

void target_free(struct target *target)
{
    free(target->decoded);
    *target = (struct target){0};
}
