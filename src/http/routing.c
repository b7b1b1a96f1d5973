#include "http/routing.h"

/* The patterns stand in tables of the program and are well formed: "/", or "/" before each segment. */
static bool matches(const char *pattern, const struct target *target, const char *ret_parts[static HTTP_PARTS])
{
    size_t found = 0, k = 0;
    for (const char *p = pattern; p[0] == '/' && p[1] != '\0'; k++) {
        const char *word = p + 1, *segment = target->segments[k];
        size_t n = strcspn(word, "/");
        p = word + n;
        if (segment == NULL || segment[0] == '\0')
            return false;
        if (n == 2 && word[0] == '{') {
            if (found < HTTP_PARTS)
                ret_parts[found++] = segment;
        } else if (strlen(segment) != n || memcmp(segment, word, n) != 0) {
            return false;
        }
    }
    return target->segments[k] == NULL;
}

static void add_word(char *list, size_t size, const char *word)
{
    size_t n = strlen(list);
    if (strstr(list, word) == NULL)
        snprintf(list + n, size - n, "%s%s", n > 0 ? ", " : "", word);
}

const struct http_route *routing_find(const struct http_route *const *tables, const char *method,
                                    const struct target *target, const char *ret_parts[static HTTP_PARTS],
                                    char ret_allow[static ROUTING_ALLOW])
{
    const char *asked = strcmp(method, "HEAD") == 0 ? "GET" : method;
    ret_allow[0] = '\0';
    for (; *tables != NULL; tables++) {
        for (const struct http_route *route = *tables; route->method != NULL; route++) {
            const char *parts[HTTP_PARTS] = {NULL};
            if (!matches(route->pattern, target, parts))
                continue;
            if (strcmp(route->method, asked) == 0) {
                memcpy(ret_parts, parts, sizeof parts);
                return route;
            }
            add_word(ret_allow, ROUTING_ALLOW, route->method);
            if (strcmp(route->method, "GET") == 0)
                add_word(ret_allow, ROUTING_ALLOW, "HEAD");
        }
    }
    return NULL;
}
