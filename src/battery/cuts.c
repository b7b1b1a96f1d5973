#include "battery/cuts.h"

#include "base/memory.h"

enum { EDGE = 5 };

static void sort_few(double *x, size_t n)
{
    for (size_t k = 1; k < n; k++)
        for (size_t j = k; j > 0 && x[j] < x[j - 1]; j--) {
            double keep = x[j];
            x[j] = x[j - 1];
            x[j - 1] = keep;
        }
}

static struct edge edge_of(const double *a, size_t n)
{
    double x[EDGE];
    memcpy(x, a, n * sizeof *x);
    sort_few(x, n);
    double range = x[n - 1] - x[0], steps = (double)n - 1;
    if (n >= 4) { /* without the reading that widens it most */
        range = fmin(x[n - 1] - x[1], x[n - 2] - x[0]);
        steps -= 1;
    }
    return (struct edge){
        .level_a = n % 2 == 1 ? x[n / 2] : (x[n / 2 - 1] + x[n / 2]) / 2,
        .drift_a = n > 1 ? range / steps : 0,
        .depth = ((double)n - 1) / 2,
    };
}

static struct edge edge_at_end(const struct trace *trace, const struct cut_piece *piece)
{
    size_t n = piece->steady_last - piece->steady_first + 1;
    n = n < EDGE ? n : EDGE;
    return edge_of(trace->a + piece->steady_last + 1 - n, n);
}

static struct edge edge_at_start(const struct trace *trace, const struct cut_piece *piece)
{
    size_t n = piece->steady_last - piece->steady_first + 1;
    return edge_of(trace->a + piece->steady_first, n < EDGE ? n : EDGE);
}

bool cuts_step_between(const struct trace *trace, const struct cut_piece *one, const struct cut_piece *two,
                       double threshold_a, struct edge *ret_before, struct edge *ret_after)
{
    const double bending = 1.5; /* a knee drifts faster from reading to reading */
    struct edge before = edge_at_end(trace, one), after = edge_at_start(trace, two);
    size_t between = two->steady_first - one->steady_last - 1;
    double apart = before.depth + after.depth + 1; /* not over a long ramp: noise would count as drift */
    apart += between < TRANSITION_READINGS ? (double)between : TRANSITION_READINGS;
    *ret_before = before;
    *ret_after = after;
    return fabs(after.level_a - before.level_a) >
           fmax(threshold_a, bending * apart * fmax(before.drift_a, after.drift_a));
}

struct pieces {
    struct cut_piece *items;
    size_t count, capacity;
};

static struct cut_piece whole_piece(size_t first, size_t last, bool moving)
{
    return (struct cut_piece){first, last, first, last, moving};
}

static void add_piece(struct pieces *pieces, struct cut_piece piece)
{
    pieces->items = memory_grow(pieces->items, pieces->count, &pieces->capacity);
    pieces->items[pieces->count++] = piece;
}

/* The last reading within ABRUPT_S of reading k, at most `last`. */
static size_t reach(const struct trace *trace, size_t k, size_t from, size_t last)
{
    while (from < last && trace->t_s[from + 1] <= trace->t_s[k] + ABRUPT_S)
        from++;
    return from;
}

/* Nothing moves within ABRUPT_S of any reading of the block of k: the blocks up to there agree. */
static bool block_is_still(const struct trace *trace, const struct envelope *envelope, size_t k, size_t last,
                           double threshold_a)
{
    size_t b = k / ENVELOPE_BLOCK, end = (b + 1) * ENVELOPE_BLOCK;
    double lo = envelope->lo[b], hi = envelope->hi[b], until = trace->t_s[end < last ? end : last] + ABRUPT_S;
    for (b++; hi - lo <= threshold_a && b * ENVELOPE_BLOCK <= last; b++) {
        if (trace->t_s[b * ENVELOPE_BLOCK] > until)
            return true;
        lo = fmin(lo, envelope->lo[b]);
        hi = fmax(hi, envelope->hi[b]);
    }
    return hi - lo <= threshold_a;
}

/* The part of start…end, a stretch that moves, which is at neither of the levels at its ends. */
static bool trim(const double *a, double threshold_a, size_t *start, size_t *end)
{
    double from = a[*start], to = a[*end];
    size_t s = *start, e = *end;
    while (s < e && fabs(a[s] - from) <= threshold_a / 2)
        s++;
    while (e > s && fabs(a[e] - to) <= threshold_a / 2)
        e--;
    bool some = fabs(a[s] - from) > threshold_a / 2 && fabs(a[e] - to) > threshold_a / 2;
    *start = s;
    *end = e;
    return some;
}

/* Splits a piece of a fast log at ramps: stretches that move by more than the threshold within ABRUPT_S
 * although no two neighbours differ that much. */
static void split_ramps(const struct trace *trace, const struct envelope *envelope, size_t first, size_t last,
                        double threshold_a, struct pieces *out)
{
    size_t begun = first, k = first, far = first;
    while (k < last) {
        if ((k == first || k % ENVELOPE_BLOCK == 0) &&
            block_is_still(trace, envelope, k, last, threshold_a)) {
            k = (k / ENVELOPE_BLOCK + 1) * ENVELOPE_BLOCK;
            continue;
        }
        far = reach(trace, k, far > k ? far : k, last);
        size_t start = k, end = far;
        while (k < last && fabs(trace->a[far] - trace->a[k]) > threshold_a) {
            end = far;
            k++;
            far = reach(trace, k, far > k ? far : k, last);
        }
        if (k == start) {
            k++;
            continue;
        }
        if (trim(trace->a, threshold_a, &start, &end) && start > begun && end < last) {
            add_piece(out, whole_piece(begun, start - 1, begun == start - 1));
            add_piece(out, whole_piece(start, end, true));
            begun = end + 1;
            k = begun;
        }
    }
    add_piece(out, whole_piece(begun, last, begun == last));
}

static void split(const struct trace *trace, const struct envelope *envelope, size_t first, size_t last,
                  double threshold_a, struct pieces *out)
{
    bool fast =
        last > first && (trace->t_s[last] - trace->t_s[first]) / (double)(last - first) < ABRUPT_S / 2;
    if (fast && last > first + 2)
        split_ramps(trace, envelope, first, last, threshold_a, out);
    else
        add_piece(out, whole_piece(first, last, first == last));
}

static void find_pieces(const struct trace *trace, const struct envelope *envelope, size_t first, size_t last,
                        double threshold_a, size_t most, struct pieces *out)
{
    size_t begun = first;
    for (size_t b = first / ENVELOPE_BLOCK; b <= last / ENVELOPE_BLOCK && out->count <= most; b++) {
        if (envelope->hi[b] - envelope->lo[b] <= threshold_a)
            continue;
        size_t k = b * ENVELOPE_BLOCK, end = k + ENVELOPE_BLOCK;
        for (k = k > first ? k : first; k < end && k < last; k++) {
            if (fabs(trace->a[k + 1] - trace->a[k]) > threshold_a) {
                split(trace, envelope, begun, k, threshold_a, out);
                begun = k + 1;
            }
        }
    }
    split(trace, envelope, begun, last, threshold_a, out);
}

/* Readings first…last lie on one side of both levels, farther than the threshold: a short pulse. */
static bool stands_apart(const double *a, size_t first, size_t last, double level_a, double threshold_a)
{
    double side = a[first] - level_a;
    for (size_t k = first; k <= last; k++)
        if (!((a[k] - level_a) * (side > 0 ? 1 : -1) > threshold_a))
            return false;
    return last > first;
}

/* A change too slow for a step: more readings than a few, and longer than a soft start. */
static bool is_slow(const struct trace *trace, size_t before, size_t after)
{
    return after - before - 1 > TRANSITION_READINGS && trace->t_s[after] - trace->t_s[before] > TRANSITION_S;
}

static void join(struct cut_piece *one, const struct cut_piece *two)
{
    one->last = two->last;
    one->steady_last = two->steady_last;
}

/* Adds the piece `next`, before which readings move since the end of the last piece, to what is there. */
static void settle(const struct trace *trace, double threshold_a, struct pieces *out, struct cut_piece next)
{
    struct cut_piece *last = &out->items[out->count - 1];
    struct edge before, after;
    bool step = cuts_step_between(trace, last, &next, threshold_a, &before, &after);
    size_t amid = last->last + 1;
    double level = (before.level_a + after.level_a) / 2;
    if (step && !is_slow(trace, last->last, next.first)) {
        while (amid < next.first &&
               fabs(trace->a[amid] - before.level_a) <= fabs(trace->a[amid] - after.level_a))
            amid++;
        last->last = amid - 1;
        next.first = amid;
        add_piece(out, next);
    } else if (amid < next.first && stands_apart(trace->a, amid, next.first - 1, level, threshold_a)) {
        add_piece(out, whole_piece(amid, next.first - 1, false));
        add_piece(out, next);
    } else {
        join(last, &next);
    }
}

/* Takes back cuts that later joins have left without a step. */
static void rejoin(const struct trace *trace, double threshold_a, struct pieces *pieces)
{
    size_t kept = 1;
    for (size_t k = 1; k < pieces->count; k++) {
        pieces->items[kept++] = pieces->items[k];
        struct edge before, after;
        while (kept > 1 && !cuts_step_between(trace, &pieces->items[kept - 2], &pieces->items[kept - 1],
                                              threshold_a, &before, &after)) {
            join(&pieces->items[kept - 2], &pieces->items[kept - 1]);
            kept--;
        }
    }
    pieces->count = kept;
}

/* Readings that move at the end of a run are its level there (a knee, a taper) unless they are on their way
 * to nothing. */
static void close_last(const struct trace *trace, struct cut_piece *piece, size_t last)
{
    piece->last = last;
    if (fabs(trace->a[last]) > fabs(trace->a[piece->steady_last]) / 2)
        piece->steady_last = last;
}

/* A lone reading is a glitch when the load goes on after it; a lone higher one after which the run is over is
 * what ended it. */
static bool ends_in_a_burst(const struct trace *trace, const struct cut_piece *piece, size_t last, double threshold_a)
{
    return piece->last + 1 == last && last + 1 < trace->count &&
           fabs(trace->a[last]) - fabs(edge_at_end(trace, piece).level_a) > threshold_a;
}

static void finish(const struct trace *trace, size_t last, double threshold_a, struct pieces *settled)
{
    struct cut_piece *piece = &settled->items[settled->count - 1];
    if (ends_in_a_burst(trace, piece, last, threshold_a))
        add_piece(settled, whole_piece(last, last, false));
    else
        close_last(trace, piece, last);
}

size_t cuts_find(const struct trace *trace, const struct envelope *envelope, size_t first, size_t last,
                 double threshold_a, size_t most, struct cut_piece **ret_pieces)
{
    struct pieces raw = {0}, settled = {0};
    find_pieces(trace, envelope, first, last, threshold_a, most, &raw);
    if (raw.count > most) {
        free(raw.items);
        return 0;
    }
    for (size_t k = 0; k < raw.count; k++) {
        if (raw.items[k].moving)
            continue;
        if (settled.count == 0)
            add_piece(&settled, raw.items[k]);
        else
            settle(trace, threshold_a, &settled, raw.items[k]);
    }
    if (settled.count == 0)
        add_piece(&settled, whole_piece(first, last, false));
    settled.items[0].first = first;
    finish(trace, last, threshold_a, &settled);
    rejoin(trace, threshold_a, &settled);
    free(raw.items);
    *ret_pieces = settled.items;
    return settled.count;
}
