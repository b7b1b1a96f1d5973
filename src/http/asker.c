#include "http/asker.h"

#include <strings.h>

/* The name before the port; n 0 when what follows it is no port. */
static struct span name_of(const char *host)
{
    size_t n = strcspn(host, ":"), digits = host[n] == ':' ? strspn(host + n + 1, "0123456789") : 0;
    if (host[n] == ':' && (digits == 0 || digits > 5 || host[n + 1 + digits] != '\0'))
        n = 0;
    return (struct span){host, n};
}

static bool is_local_name(struct span name, const char *machine)
{
    size_t n = strlen(machine);
    if (n == 0 || name.n < n || strncasecmp(name.p, machine, n) != 0)
        return false;
    return name.n == n || (name.n == n + 6 && strncasecmp(name.p + n, ".local", 6) == 0);
}

bool asker_host_is_ours(const char *host, const char *own, const char *machine)
{
    struct span name = host != NULL ? name_of(host) : (struct span){0};
    if (name.n == 0)
        return false;
    return span_is_word(name, "localhost") || span_is(name, "127.0.0.1") || span_is(name, own) ||
           is_local_name(name, machine);
}

bool asker_origin_is_ours(const char *origin, const char *host)
{
    static const char scheme[] = "http://";
    size_t n = sizeof scheme - 1;
    return origin != NULL && host != NULL && strncasecmp(origin, scheme, n) == 0 && strcasecmp(origin + n, host) == 0;
}

bool asker_site_is_ours(const char *site, const char *mode, bool page)
{
    if (site == NULL || strcmp(site, "same-origin") == 0 || strcmp(site, "none") == 0)
        return true;
    return page && mode != NULL && strcmp(mode, "navigate") == 0;
}
