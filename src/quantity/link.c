#include "quantity/link.h"

#include "base/nearest.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

/* The form of the rig file. What a key means is its driver's; docs/instruments.md tells. */
static const struct {
    bool polled;
    const char *const keys[12];
} forms[] = {
    {true, {"identify", "setup", "query", "errors", "end", NULL}},
    {true, {"unit id", NULL}},
    {false, {"separator", "decimal", "pattern", "setup", NULL}},
    {false, {"user", "password", "password file", "client id", "tls", "cafile", "certfile", "keyfile", "within", NULL}},
    {false, {"separator", "decimal", "pattern", "start", NULL}},
    {false, {"stream", NULL}},
    {false, {NULL}},
};
const char *const link_drivers[] = {"scpi", "modbus", "lines", "mqtt", "file", "replay", "none", NULL};

const char *const *link_keys(const char *driver, bool *ret_polled)
{
    int form = name_find(span_of(driver), link_drivers);
    if (form < 0)
        return NULL;
    if (ret_polled != NULL)
        *ret_polled = forms[form].polled;
    return forms[form].keys;
}

void links_free(struct links *links)
{
    for (size_t k = 0; k < links->count; k++) {
        struct link *link = &links->items[k];
        for (size_t s = 0; s < link->setting_count; s++) {
            free(link->settings[s].key);
            free(link->settings[s].value);
        }
        free(link->settings);
    }
    free(links->items);
    *links = (struct links){0};
}

const struct link_setting *link_setting(const struct link *link, const char *key,
                                        const struct link_setting *after)
{
    size_t from = after == NULL ? 0 : (size_t)(after - link->settings) + 1;
    for (size_t k = from; k < link->setting_count; k++)
        if (name_alike(span_of(link->settings[k].key), key))
            return &link->settings[k];
    return NULL;
}

enum status link_fault(const struct link *link, const struct link_setting *setting,
                       const struct link_channel *channel, struct message *message, const char *what, ...)
{
    char said[sizeof message->what];
    va_list list;
    va_start(list, what);
    vsnprintf(said, sizeof said, what, list);
    va_end(list);
    status_fail(message, STATUS_MALFORMED, "%s", said);
    long line = setting != NULL ? setting->line : channel != NULL ? channel->line : link->line;
    long column = setting != NULL ? setting->column : channel != NULL ? channel->column : 0;
    return status_at(message, link->file, line, column);
}
