/* What the tests of inspections share: a text looked at, and a line of what it comes to. */
#ifndef RUNDOWN_TESTS_INSPECTED_H
#define RUNDOWN_TESTS_INSPECTED_H

#include "check.h"

#include "teardown/inspection.h"

#include <math.h>
#include <string.h>

struct seen {
    struct opened opened;
    struct inspection found;
};

static inline struct seen look(const char *text, const struct rated *rated)
{
    struct seen seen = {0};
    struct message message = {0};
    CHECK(opened_read_text("hut.opened", span_of(text), &seen.opened, &message) == STATUS_OK);
    CHECK(inspect(&seen.opened, rated, &seen.found, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return seen;
}

static inline void let_go(struct seen *seen)
{
    inspection_free(&seen->found);
    opened_free(&seen->opened);
}

static inline const struct inspected_value *value_of(const struct inspected *item, const char *what)
{
    static const struct inspected_value none = {.words = "(no such line)"};
    for (size_t k = 0; k < item->value_count; k++)
        if (strstr(item->values[k].what, what) != NULL)
            return &item->values[k];
    CHECK_TEXT("(no such line)", what);
    return &none;
}

static inline bool says(const char *words, const char *part)
{
    return strstr(words, part) != NULL || !CHECK_TEXT(words, part);
}

#endif
