#include "intake/ordering.h"

#include "base/memory.h"

enum { LATE_ROWS = 16, CLOCKS_KEPT = 64, PERIOD_SAMPLE = 4001 };
static const double a_day = 86400;

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Quantiles of the positive intervals of a sample of the rows; false when there is none. */
static bool intervals(const double *t_s, size_t count, double *ret_median, double *ret_long)
{
    double steps[PERIOD_SAMPLE];
    size_t used = 0, stride = count / PERIOD_SAMPLE + 1;
    for (size_t k = 1; k < count && used < PERIOD_SAMPLE; k += stride)
        if (t_s[k] > t_s[k - 1])
            steps[used++] = t_s[k] - t_s[k - 1];
    if (used == 0)
        return false;
    qsort(steps, used, sizeof *steps, by_size);
    *ret_median = steps[used / 2];
    *ret_long = steps[(size_t)(0.99 * (double)(used - 1))];
    return true;
}

/* One of the log's clocks: t_s = its number + offset. */
struct clock {
    double offset, last; /* last: its number when it was left */
    size_t first_gap;    /* the first gap after it was left */
};

struct walk {
    struct series *series;
    const struct ordering *ordering;
    struct ordered *ordered;
    struct clock clocks[CLOCKS_KEPT];
    size_t clock_count, current;
    size_t block;  /* where the current block of rows begins */
    double most;   /* the largest number of the current block */
    double now;    /* the latest time so far */
    double period; /* the median interval */
    double jump;   /* an interval longer than this is no usual one */
};

/* Late: it fits between rows just before it, in the same block. */
static bool is_late(const struct walk *walk, size_t row, double number)
{
    double limit = walk->period > 1 ? walk->period : 1; /* a second, or one interval of the log */
    double t = number + walk->clocks[walk->current].offset;
    if (walk->most - number > limit)
        return false;
    for (size_t back = 1; back <= LATE_ROWS; back++) {
        if (row < walk->block + back)
            return walk->ordering->absolute; /* a dated clock does not restart at the same instant */
        if (walk->series->t_s[row - back] < t)
            return true;
    }
    return false;
}

/* A clock without a date falls back by a day at midnight; one that counts from the start of the run does so
 * too where its hours have no room for more, and then runs on without a pause. */
static bool passes_midnight(const struct walk *walk, double number)
{
    double step = number + a_day - walk->most;
    bool falls = walk->ordering->clock && step >= 0 && walk->most - number > a_day / 2;
    return falls && (walk->ordering->time_of_day || step <= fmax(10 * walk->period, 60));
}

/* The clock that ran before and to which this number belongs; -1 when there is none. */
static int find_return(const struct walk *walk, double number, double before, double *ret_interval)
{
    int best = -1;
    double nearest = INFINITY;
    for (size_t k = 0; k < walk->clock_count; k++) {
        double interval = number + walk->clocks[k].offset - before;
        if (k == walk->current || number < walk->clocks[k].last || interval < 0 ||
            interval > 3 * walk->period)
            continue;
        if (fabs(interval - walk->period) < nearest) {
            nearest = fabs(interval - walk->period);
            *ret_interval = interval;
            best = (int)k;
        }
    }
    return best;
}

static void leave_clock(struct walk *walk)
{
    walk->clocks[walk->current].last = walk->most;
    walk->clocks[walk->current].first_gap = walk->series->gap_count;
}

/* One step follows another: had the old one gone on for longer than its last interval, it would have
 * logged another row. Common practice of test programs, no source. */
static double longest_joint(const struct walk *walk, size_t row, double lo)
{
    const double *t = walk->series->t_s;
    double interval = row >= walk->block + 2 ? t[row - 1] - t[row - 2] : walk->period;
    return lo + fmax(interval, walk->period);
}

static void start_clock(struct walk *walk, size_t row, double number, double before, bool steps)
{
    leave_clock(walk);
    /* A clock that starts from zero cannot have started before the last reading of the one before it. */
    bool from_zero = walk->ordering->step_time || (!walk->ordering->absolute && number <= 3 * walk->period);
    double lo = from_zero && number > 0 ? number : 0;
    double assumed = lo > 0 ? lo : walk->period;
    double hi = steps && from_zero ? longest_joint(walk, row, lo) : INFINITY;
    if (walk->clock_count == CLOCKS_KEPT) {
        memmove(walk->clocks, walk->clocks + 1, (CLOCKS_KEPT - 1) * sizeof *walk->clocks);
        walk->clock_count--;
    }
    walk->current = walk->clock_count++;
    walk->clocks[walk->current] = (struct clock){.offset = before + assumed - number};
    series_gap(walk->series, (struct gap){row, assumed, lo, fmax(hi, assumed),
                                          steps ? "the log's clock restarted with a new step"
                                                : "the log's clock was restarted or set back"});
    walk->ordered->restarts++;
}

/* The joints since the clock was left add up to what that clock says of the whole. */
static void return_to(struct walk *walk, size_t row, int clock, double interval)
{
    leave_clock(walk);
    series_gap(walk->series,
               (struct gap){row, interval, 0, INFINITY, "the log went back to a clock that ran before"});
    double sum = 0;
    for (size_t k = walk->clocks[clock].first_gap; k < walk->series->gap_count; k++)
        sum += walk->series->gaps[k].assumed_s;
    for (size_t k = walk->clocks[clock].first_gap; k < walk->series->gap_count; k++)
        if (sum < walk->series->gaps[k].hi_s)
            walk->series->gaps[k].hi_s = sum;
    walk->current = (size_t)clock;
    walk->ordered->returns++;
}

/* A clock's offset is rounded, so that a sum may fall short of the time before it by the last bit. */
static void advance(struct walk *walk, size_t row, double number)
{
    walk->most = number;
    walk->now = fmax(walk->now, number + walk->clocks[walk->current].offset);
    walk->series->t_s[row] = walk->now;
}

static void place(struct walk *walk, size_t row, bool steps)
{
    bool new_step = steps && walk->ordering->step_time;
    double *t = walk->series->t_s, number = t[row], offset = walk->clocks[walk->current].offset;
    double before = walk->now, interval;
    double step = number - walk->most;
    bool jump = walk->clock_count > 1 && !walk->ordering->step_time && step > walk->jump;
    if (!new_step && step >= 0 && !jump) {
        advance(walk, row, number);
        return;
    }
    if (!steps && step < 0 && is_late(walk, row, number)) {
        t[row] = number + offset;
        walk->ordered->late++;
        return;
    }
    if (!new_step && step < 0 && passes_midnight(walk, number)) {
        walk->clocks[walk->current].offset += a_day;
        walk->ordered->midnights++;
    } else {
        int clock = walk->ordering->step_time ? -1 : find_return(walk, number, before, &interval);
        if (clock >= 0)
            return_to(walk, row, clock, interval);
        else if (step < 0 || new_step)
            start_clock(walk, row, number, before, steps);
        if (clock >= 0 || step < 0 || new_step)
            walk->block = row;
    }
    advance(walk, row, number);
}

static void sink_one(struct rows *rows, size_t row)
{
    double *t = rows->series.t_s, late = t[row];
    size_t to = row;
    while (to > 0 && t[to - 1] > late)
        to--;
    struct rows_lane lanes[ROWS_LANES];
    size_t count = rows_lanes(rows, lanes);
    for (size_t k = 0; k < count; k++) {
        char moved[ROWS_LANE_SIZE], *items = lanes[k].items;
        size_t size = lanes[k].size;
        memcpy(moved, items + row * size, size);
        memmove(items + (to + 1) * size, items + to * size, (row - to) * size);
        memcpy(items + to * size, moved, size);
    }
    for (size_t k = 0; k < rows->digits.odd_count; k++) {
        size_t *odd = &rows->digits.odd[k].row;
        if (*odd >= to && *odd <= row)
            *odd = *odd == row ? to : *odd + 1;
    }
}

static void reverse_lane(struct rows_lane lane, size_t n)
{
    char swap[ROWS_LANE_SIZE];
    for (size_t k = 0; k < n / 2; k++) {
        char *a = lane.items + k * lane.size, *b = lane.items + (n - 1 - k) * lane.size;
        memcpy(swap, a, lane.size);
        memcpy(a, b, lane.size);
        memcpy(b, swap, lane.size);
    }
}

/* Newest row first: nearly every step is backwards. */
static bool runs_backwards(const double *t, size_t n)
{
    size_t back = 0, forth = 0;
    for (size_t k = 1; k < n; k++) {
        back += t[k] < t[k - 1];
        forth += t[k] > t[k - 1];
    }
    return back > 2 && back > 20 * forth;
}

static void reverse(struct rows *rows)
{
    size_t n = rows->series.count;
    struct rows_lane lanes[ROWS_LANES];
    size_t count = rows_lanes(rows, lanes);
    for (size_t k = 0; k < count; k++)
        reverse_lane(lanes[k], n);
    for (size_t k = 0; k < rows->digits.odd_count; k++)
        rows->digits.odd[k].row = n - 1 - rows->digits.odd[k].row;
    for (size_t k = 0; k < rows->event_count; k++)
        rows->events[k].row = n - 1 - rows->events[k].row;
    for (size_t k = 0; k < rows->event_count / 2; k++) {
        struct row_event swap = rows->events[k];
        rows->events[k] = rows->events[rows->event_count - 1 - k];
        rows->events[rows->event_count - 1 - k] = swap;
    }
}

static void walk_rows(struct walk *walk, const struct rows *rows)
{
    struct series *series = walk->series;
    size_t event = 0, joints_most = series->count / 4 + 10;
    for (size_t row = 1; row < series->count && !walk->ordered->senseless; row++) {
        while (event < rows->event_count &&
               (rows->events[event].row < row || rows->events[event].words != NULL) &&
               rows->events[event].row <= row)
            event++;
        place(walk, row, event < rows->event_count && rows->events[event].row == row);
        walk->ordered->senseless = walk->ordered->restarts + walk->ordered->returns > joints_most;
    }
}

void order_rows(struct rows *rows, const struct ordering *ordering, struct ordered *ret_ordered)
{
    struct series *series = &rows->series;
    struct ordered ordered = {0};
    if (rows->unordered && runs_backwards(series->t_s, series->count)) {
        reverse(rows);
        ordered.reversed = true;
    }
    if (rows->unordered || ordering->step_time) {
        double longest = 0;
        struct walk walk = {.series = series,
                            .ordering = ordering,
                            .ordered = &ordered,
                            .clock_count = 1,
                            .most = series->t_s[0],
                            .now = series->t_s[0]};
        (void)intervals(series->t_s, series->count, &walk.period, &longest);
        walk.jump = 3 * fmax(longest, walk.period);
        walk_rows(&walk, rows);
    }
    for (size_t k = 0; k < rows->event_count; k++)
        rows->events[k].t_s = series->t_s[rows->events[k].row];
    for (size_t row = 1; row < series->count && ordered.late > 0 && !ordered.senseless; row++)
        if (series->t_s[row] < series->t_s[row - 1])
            sink_one(rows, row);
    *ret_ordered = ordered;
}
