/* Whether two logs are one: every word, and every double to the last bit; only their paths may differ. */
#ifndef RUNDOWN_TESTS_SAME_LOG_H
#define RUNDOWN_TESTS_SAME_LOG_H

#include "intake/log.h"

#include <stdio.h>
#include <string.h>

static bool same(bool yes, const char *what)
{
    if (!yes)
        printf("    %s differs\n", what);
    return yes;
}

/* Zeros of either sign and every NaN by their bits, save that a NaN is a NaN. */
static bool same_double(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0 || (a != a && b != b);
}

static bool same_doubles(const double *a, const double *b, size_t n, const char *what)
{
    if (a == NULL || b == NULL)
        return same(a == b, what);
    for (size_t k = 0; k < n; k++) {
        if (!same_double(a[k], b[k])) {
            printf("    %s differs at row %zu: %.17g and %.17g\n", what, k, a[k], b[k]);
            return false;
        }
    }
    return true;
}

static bool same_series(const struct series *a, const struct series *b)
{
    bool one =
        same(a->count == b->count && a->mark_count == b->mark_count && a->gap_count == b->gap_count,
             "a count") &&
        same(same_double(a->start_utc_s, b->start_utc_s) && a->zone_known == b->zone_known, "the start") &&
        same(same_double(a->time_resolution_s, b->time_resolution_s), "the step of time") &&
        same_doubles(a->resolution, b->resolution, CHANNELS, "a step") &&
        same_doubles(a->t_s, b->t_s, a->count, "time");
    for (int c = 0; c < CHANNELS && one; c++)
        one = same_doubles(a->column[c], b->column[c], a->count, channel_name((enum channel)c));
    for (size_t k = 0; k < a->mark_count && one; k++)
        one = same(a->marks[k].t_s == b->marks[k].t_s && a->marks[k].line == b->marks[k].line &&
                       strcmp(a->marks[k].words, b->marks[k].words) == 0,
                   "a mark");
    for (size_t k = 0; k < a->gap_count && one; k++)
        one = same(a->gaps[k].after == b->gaps[k].after && a->gaps[k].assumed_s == b->gaps[k].assumed_s &&
                       a->gaps[k].lo_s == b->gaps[k].lo_s && a->gaps[k].hi_s == b->gaps[k].hi_s &&
                       strcmp(a->gaps[k].why, b->gaps[k].why) == 0,
                   "a gap");
    return one;
}

static bool same_words(const struct log *a, const struct log *b)
{
    bool one =
        same(a->bad_count == b->bad_count && a->missing_cells == b->missing_cells && a->rows == b->rows &&
                 a->out_of_order == b->out_of_order && a->first_line == b->first_line,
             "a number of rows") &&
        same(a->sign == b->sign && a->delimiter == b->delimiter && a->decimal == b->decimal &&
                 a->invented == b->invented,
             "a sign") &&
        same(a->column_count == b->column_count && a->notices.count == b->notices.count, "a number of words");
    for (size_t k = 0; k < a->column_count && one; k++) {
        const struct column_choice *x = &a->columns[k], *y = &b->columns[k];
        one = same(x->number == y->number && x->role == y->role &&
                       (x->role != COLUMN_CHANNEL || x->channel == y->channel) && x->factor == y->factor &&
                       strcmp(x->header, y->header) == 0 && strcmp(x->unit, y->unit) == 0 &&
                       strcmp(x->why, y->why) == 0,
                   "a column");
    }
    for (size_t k = 0; k < a->bad_count && k < LOG_BAD_ROWS_LISTED && one; k++)
        one =
            same(a->bad[k].line == b->bad[k].line && a->bad[k].column == b->bad[k].column &&
                     strcmp(a->bad[k].text, b->bad[k].text) == 0 && strcmp(a->bad[k].why, b->bad[k].why) == 0,
                 "a bad row");
    for (size_t k = 0; k < a->notices.count && one; k++)
        one = same(strcmp(a->notices.items[k].topic, b->notices.items[k].topic) == 0 &&
                       strcmp(a->notices.items[k].text, b->notices.items[k].text) == 0 &&
                       a->notices.items[k].line == b->notices.items[k].line,
                   "a notice");
    return one;
}

static bool same_log(const struct log *a, const struct log *b)
{
    return same_words(a, b) && same_series(&a->series, &b->series);
}

#endif
