/* An invented instrument's link, as the rig file's reader would make it, and what came from it. */
#ifndef RUNDOWN_TESTS_INVENTED_LINK_H
#define RUNDOWN_TESTS_INVENTED_LINK_H

#include "instrument/driver.h"

static inline struct link invented_link(const char *driver, const char *address)
{
    struct link link = {
        .name = "invented meter", .file = "hut.rig", .line = 3, .period_s = 0.02, .timeout_s = 0.5};
    span_copy(span_of(driver), link.driver, sizeof link.driver);
    span_copy(span_of(address), link.address, sizeof link.address);
    return link;
}

static inline void invented_channel(struct link *link, const char *name, const char *source)
{
    struct link_channel *channel = &link->channels[link->channel_count++];
    *channel = (struct link_channel){.line = 9, .column = 16};
    span_copy(span_of(name), channel->name, sizeof channel->name);
    span_copy(span_of(source), channel->source, sizeof channel->source);
}

/* `settings` is the caller's room; key and value are only read. */
static inline void invented_setting(struct link *link, struct link_setting *settings, const char *key,
                                    const char *value)
{
    settings[link->setting_count++] = (struct link_setting){
        .key = (char *)(uintptr_t)key, .value = (char *)(uintptr_t)value, .line = 5, .column = 11};
    link->settings = settings;
}

/* The digits of a cell, `missing`, or the text of an odd one. One of four static buffers. */
static inline const char *shown(const struct arrival *arrival, int k)
{
    static char text[4][DECIMAL_TEXT];
    static int turn;
    char *at = text[turn++ % 4];
    if (arrival->cells[k].kind == DECIMAL_MISSING)
        return "missing";
    if (arrival->cells[k].kind == DECIMAL_ODD)
        return arrival->odd;
    decimal_print(arrival->cells[k], at);
    return at;
}

#endif
