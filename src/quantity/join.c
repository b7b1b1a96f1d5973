#include "quantity/join.h"

enum { PERIOD_SAMPLE = 4001 };

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Of the positive intervals, looking at a sample of them; NaN when there is none. */
static double median_period(const double *t_s, size_t count)
{
    double steps[PERIOD_SAMPLE];
    size_t used = 0, stride = count / PERIOD_SAMPLE + 1;
    for (size_t k = 1; k < count && used < PERIOD_SAMPLE; k += stride)
        if (t_s[k] > t_s[k - 1])
            steps[used++] = t_s[k] - t_s[k - 1];
    qsort(steps, used, sizeof *steps, by_size);
    return used > 0 ? steps[used / 2] : NAN;
}

/* The first stream in order that carries the channel; `count` when none does. */
static size_t carrier(const struct series *streams, size_t count, enum channel channel)
{
    size_t k = 0;
    while (k < count && (streams[k].count == 0 || streams[k].column[channel] == NULL))
        k++;
    return k;
}

static size_t choose_base(const struct series *streams, size_t count)
{
    size_t base = carrier(streams, count, CHANNEL_CURRENT);
    if (base == count)
        base = carrier(streams, count, CHANNEL_VOLTAGE);
    for (size_t k = 0; base == count && k < count; k++)
        if (streams[k].count > 0)
            return k;
    return base;
}

/* A channel of one stream, walked forward beside the instants of another. */
struct walk {
    const struct series *from;
    const double *x;
    double furthest_s;         /* that two neighbours may be apart */
    size_t before, after;      /* rows with numbers on either side; `after` may be from->count */
    size_t gap;                /* the first that is behind `before` */
    double squares_s2, most_s; /* of the distances to the nearer neighbour: their sum, and the largest */
    size_t taken;
};

static size_t next_number(const struct walk *walk, size_t row)
{
    while (row < walk->from->count && isnan(walk->x[row]))
        row++;
    return row;
}

static bool gap_between(struct walk *walk)
{
    const struct series *from = walk->from;
    while (walk->gap < from->gap_count && from->gaps[walk->gap].after <= walk->before)
        walk->gap++;
    return walk->gap < from->gap_count && from->gaps[walk->gap].after <= walk->after;
}

static double value_at(struct walk *walk, double t_s)
{
    const double *t = walk->from->t_s, *x = walk->x;
    size_t count = walk->from->count;
    while (walk->after < count && t[walk->after] <= t_s) {
        walk->before = walk->after;
        walk->after = next_number(walk, walk->after + 1);
    }
    if (walk->before == count || t[walk->before] > t_s)
        return NAN; /* before the first */
    double back_s = t_s - t[walk->before];
    if (back_s == 0) {
        walk->taken++;
        return x[walk->before];
    }
    if (walk->after == count)
        return NAN;
    double span_s = t[walk->after] - t[walk->before];
    if (!(span_s <= walk->furthest_s) || gap_between(walk))
        return NAN;
    double nearer_s = fmin(back_s, span_s - back_s);
    walk->squares_s2 += nearer_s * nearer_s;
    walk->most_s = fmax(walk->most_s, nearer_s);
    walk->taken++;
    return x[walk->before] + (x[walk->after] - x[walk->before]) * (back_s / span_s);
}

/* Returns the half-width that stands for how far the neighbours were away. */
static double take_across(const struct series *from, enum channel channel, double within,
                          struct series *joined)
{
    struct walk walk = {.from = from, .x = from->column[channel]};
    walk.furthest_s = within * median_period(from->t_s, from->count);
    walk.before = from->count;
    walk.after = next_number(&walk, 0);
    for (size_t k = 0; k < joined->count; k++)
        joined->column[channel][k] = value_at(&walk, joined->t_s[k]);
    return walk.taken > 0 ? fmin(sqrt(3 * walk.squares_s2 / (double)walk.taken), walk.most_s) : 0;
}

static int by_time(const void *a, const void *b)
{
    const struct mark *x = a, *y = b;
    return x->t_s != y->t_s ? (x->t_s > y->t_s) - (x->t_s < y->t_s)
                            : (x->line > y->line) - (x->line < y->line);
}

static void take_words(const struct series *streams, size_t count, size_t base, struct series *joined)
{
    const struct series *from = &streams[base];
    joined->time_resolution_s = from->time_resolution_s;
    joined->start_utc_s = from->start_utc_s;
    joined->zone_known = from->zone_known;
    joined->oriented = from->oriented;
    for (size_t k = 0; k < from->gap_count; k++)
        series_gap(joined, from->gaps[k]);
    for (size_t s = 0; s < count; s++)
        for (size_t k = 0; k < streams[s].mark_count; k++)
            series_mark(joined, streams[s].marks[k].t_s, streams[s].marks[k].words, streams[s].marks[k].line);
    if (joined->mark_count > 1)
        qsort(joined->marks, joined->mark_count, sizeof *joined->marks, by_time);
}

enum status series_join(const struct series *streams, size_t count, double within, struct series *ret_series,
                        double *ret_skew_s, struct message *message)
{
    size_t base = choose_base(streams, count), carriers[CHANNELS];
    if (base == count)
        return status_fail(message, STATUS_UNREADABLE, "no instrument has given a reading");
    unsigned wanted = 0;
    for (int c = 0; c < CHANNELS; c++) {
        carriers[c] = carrier(streams, count, (enum channel)c);
        wanted |= carriers[c] < count ? 1u << c : 0;
    }
    const struct series *from = &streams[base];
    struct series joined;
    if (!series_init(&joined, from->count, wanted))
        return status_fail(message, STATUS_LIMIT, "memory does not hold its %zu readings", from->count);
    joined.count = from->count;
    memcpy(joined.t_s, from->t_s, from->count * sizeof(double));
    double skew_s = 0;
    for (int c = 0; c < CHANNELS; c++) {
        if (carriers[c] == count)
            continue;
        const struct series *carrying = &streams[carriers[c]];
        joined.resolution[c] = carrying->resolution[c];
        if (carriers[c] == base)
            memcpy(joined.column[c], carrying->column[c], from->count * sizeof(double));
        else if (c == CHANNEL_VOLTAGE && from->column[CHANNEL_CURRENT] != NULL)
            skew_s = take_across(carrying, (enum channel)c, within, &joined);
        else
            (void)take_across(carrying, (enum channel)c, within, &joined);
    }
    take_words(streams, count, base, &joined);
    *ret_series = joined;
    *ret_skew_s = skew_s;
    return STATUS_OK;
}
