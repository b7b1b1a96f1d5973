#include "report/curve_data.h"

#include "base/memory.h"

#include <stdint.h>

#define STRETCHES 4000 /* of a log; some four to a pixel of a wide figure */
#define KEPT 7         /* points of a stretch, and one for a hole after it */
#define HOLE_PERIODS 10.0
#define AFTER_S 60.0
enum { COLUMNS_OF_LOG = 4, COLUMNS_BY_EYE = 8, EDGE = 3, MOST_HOLES = 200 };

void curve_data_free(struct curve_data *data)
{
    memory_try_free(data->t_s, data->room_, sizeof(double));
    *data = (struct curve_data){0};
}

static bool make_room(struct curve_data *data, size_t count, size_t columns)
{
    *data = (struct curve_data){.room_ = count * columns, .fell_to_v = NAN, .sparse = columns == COLUMNS_BY_EYE};
    data->t_s = memory_try(count * columns, sizeof(double));
    if (data->t_s == NULL)
        return false;
    double **places[] = {&data->x, &data->v, &data->a, &data->v_lo, &data->v_hi, &data->a_lo, &data->a_hi};
    for (size_t k = 1; k < columns; k++)
        *places[k - 1] = data->t_s + k * count;
    return true;
}

static void add_point(struct curve_data *data, double t_s, double x, double v, double a)
{
    size_t k = data->count++;
    data->t_s[k] = t_s;
    data->x[k] = x;
    data->v[k] = v;
    data->a[k] = a;
    data->has_volts |= isfinite(v);
    data->has_amps |= isfinite(a);
}

static double volts(const struct trace *trace, size_t k)
{
    return trace->v != NULL ? trace->v[k] : NAN;
}

/* Readings of a stretch worth keeping, in their order: at most six. */
struct extremes {
    size_t at[6];
};

static void see(struct extremes *e, const struct trace *trace, size_t k)
{
    if (trace->v != NULL) {
        e->at[1] = trace->v[k] < trace->v[e->at[1]] ? k : e->at[1];
        e->at[2] = trace->v[k] > trace->v[e->at[2]] ? k : e->at[2];
    }
    e->at[3] = trace->a[k] < trace->a[e->at[3]] ? k : e->at[3];
    e->at[4] = trace->a[k] > trace->a[e->at[4]] ? k : e->at[4];
    e->at[5] = k;
}

static void keep(struct curve_data *data, const struct trace *trace, struct extremes *e, const double *stretch_x,
                 size_t stretch_first)
{
    for (int k = 1; k < 6; k++)
        for (int j = k; j > 0 && e->at[j - 1] > e->at[j]; j--) {
            size_t other = e->at[j];
            e->at[j] = e->at[j - 1], e->at[j - 1] = other;
        }
    for (int k = 0; k < 6; k++) {
        size_t at = e->at[k];
        if (k == 0 || at != e->at[k - 1])
            add_point(data, trace->t_s[at], stretch_x[at - stretch_first], volts(trace, at), trace->a[at]);
    }
}

/* Charge delivered along the straight lines between readings; it must not fall, or the line would turn back. */
static double carry(const struct trace *trace, size_t k, double ah)
{
    return ah + fmax(0, 0.5 * (trace->a[k] + trace->a[k - 1]) * (trace->t_s[k] - trace->t_s[k - 1]) / 3600);
}

/* `x` has room for a stretch. */
static void thin(struct curve_data *data, const struct trace *trace, size_t first, size_t last, double hole_s,
                 size_t stride, double *x)
{
    struct extremes e = {{0}};
    double ah = 0;
    size_t from = first;
    for (size_t k = first; k <= last; k++) {
        bool hole = k > first && trace->t_s[k] - trace->t_s[k - 1] > hole_s;
        if (k > first && (hole || k - from == stride)) {
            keep(data, trace, &e, x, from);
            if (hole)
                add_point(data, trace->t_s[k - 1], ah, NAN, NAN);
            from = k;
        }
        ah = k > first ? carry(trace, k, ah) : 0;
        if (k == from)
            e = (struct extremes){{k, k, k, k, k, k}};
        x[k - from] = ah;
        see(&e, trace, k);
    }
    keep(data, trace, &e, x, from);
}

/* The last reading that is still under load: the step at the end falls between two readings, and a meter that
 * averages shows something in between. */
static size_t last_loaded(const struct trace *trace, size_t first, size_t last)
{
    size_t k = last;
    while (k > first && last - k < EDGE && trace->a[k] < 0.5 * trace->a[k - 1])
        k--;
    return trace->a[k] > 0 ? k : last;
}

static double fall_after(const struct trace *trace, size_t loaded)
{
    double least = NAN;
    for (size_t k = loaded + 1; k < trace->count && trace->t_s[k] - trace->t_s[loaded] <= AFTER_S; k++)
        least = fmin(least, volts(trace, k)); /* fmin passes over NaN */
    return least;
}

/* What counts as a hole: none does where long intervals are the rule. */
static double hole_of(const struct trace *trace, size_t first, size_t last, double period_s, size_t *ret_holes)
{
    double hole_s = period_s > 0 ? HOLE_PERIODS * period_s : INFINITY;
    *ret_holes = 0;
    for (size_t k = first + 1; k <= last; k++)
        *ret_holes += trace->t_s[k] - trace->t_s[k - 1] > hole_s;
    if (*ret_holes <= MOST_HOLES)
        return hole_s;
    *ret_holes = 0;
    return INFINITY;
}

static bool from_trace(const struct record *record, struct curve_data *data)
{
    const struct findings *f = &record->findings;
    struct trace trace;
    if (!trace_of_series(&record->log.series, &trace))
        return false;
    size_t first = f->runs[f->test_first_run].first, last = f->runs[f->test_last_run].last;
    bool whole = last < trace.count && last > first;
    if (whole) {
        last = last_loaded(&trace, first, last);
        first -= first > 0; /* the rest before it: where the volts come from */
        size_t stride = (last - first) / STRETCHES + 1;
        size_t holes;
        double hole_s = hole_of(&trace, first, last, f->period_s, &holes);
        double *x = memory_get(stride * sizeof *x);
        whole = make_room(data, KEPT * ((last - first) / stride + 2 + holes), COLUMNS_OF_LOG);
        if (whole) {
            thin(data, &trace, first, last, hole_s, stride, x);
            data->fell_to_v = fall_after(&trace, last);
        }
        free(x);
    }
    trace_free(&trace);
    return whole && data->count >= 2;
}

static void add_mark(struct curve_data *data, double x, double t_s, const char *words)
{
    if (words[0] == '\0' || !isfinite(x))
        return;
    if (data->mark_count == CURVE_MARKS) {
        data->marks_left_out++;
        return;
    }
    struct curve_mark *mark = &data->marks[data->mark_count++];
    mark->x = x;
    mark->t_s = t_s;
    span_copy(span_of(words), mark->words, sizeof mark->words);
}

/* The first value of a channel that was read then; NULL when none was. */
static const struct sighted *seen(const struct instant *instant, enum channel channel)
{
    for (size_t k = 0; k < instant->count; k++)
        if (instant->values[k].channel == channel && isfinite(instant->values[k].value))
            return &instant->values[k];
    return NULL;
}

static double value_of(const struct sighted *sighted)
{
    return sighted != NULL ? sighted->value : NAN;
}

/* Clips that are not tied to each other share no clock. */
static void add_sighting(struct curve_data *data, const struct instant *instant, double tally, bool one_clock)
{
    const struct sighted *v = seen(instant, CHANNEL_VOLTAGE), *a = seen(instant, CHANNEL_CURRENT);
    size_t k = data->count;
    double amps = a != NULL ? a->value : value_of(seen(instant, CHANNEL_POWER)) / value_of(v);
    add_point(data, one_clock ? instant->t_s : NAN, tally, value_of(v), amps);
    data->v_lo[k] = v != NULL ? v->lo : NAN;
    data->v_hi[k] = v != NULL ? v->hi : NAN;
    data->a_lo[k] = a != NULL ? a->lo : NAN;
    data->a_hi[k] = a != NULL ? a->hi : NAN;
}

/* Ah between two sightings, by their amps over their time; 0 where either is not known. */
static double carried(const struct curve_data *data, size_t from, size_t to)
{
    double dt = data->t_s[to] - data->t_s[from], before = data->a[from], after = data->a[to];
    double mean = isnan(before) ? after : isnan(after) ? before : 0.5 * (before + after);
    return isfinite(dt * mean) && dt * mean > 0 ? dt * mean / 3600 : 0;
}

/* Where a sighting stands: at its tally; between two tallies in the ratio of what its neighbours carried, in
 * the order when nothing tells; outside the tallies by the amps. */
static void place_sightings(struct curve_data *data)
{
    size_t before = SIZE_MAX;
    for (size_t k = 0; k < data->count; k++) {
        if (isnan(data->x[k]))
            continue;
        double whole = 0, part = 0;
        size_t from = before != SIZE_MAX ? before : 0;
        for (size_t j = from; j < k; j++)
            whole += carried(data, j, j + 1);
        double start = before != SIZE_MAX ? data->x[before] : fmax(0, data->x[k] - whole);
        for (size_t j = from; j < k; j++) {
            if (before == SIZE_MAX || j > from)
                data->x[j] = start + (data->x[k] - start) * (whole > 0 ? part / whole : (double)(j - from) / (double)(k - from));
            part += carried(data, j, j + 1);
        }
        before = k;
    }
    for (size_t j = before != SIZE_MAX ? before : 0; j < data->count; j++)
        if (isnan(data->x[j]))
            data->x[j] = j > 0 ? data->x[j - 1] + carried(data, j - 1, j) : 0;
    for (size_t k = 1; k < data->count; k++)
        data->x[k] = fmax(data->x[k], data->x[k - 1]);
}

/* Without any charge to count there may be times, and there is always the order. */
static void place_without_charge(struct curve_data *data)
{
    bool timed = true;
    for (size_t k = 0; k < data->count; k++)
        timed &= isfinite(data->t_s[k]) && (k == 0 || data->t_s[k] >= data->t_s[k - 1]);
    data->along = timed && data->t_s[data->count - 1] > data->t_s[0] ? CURVE_TIME : CURVE_ORDER;
    for (size_t k = 0; k < data->count; k++)
        data->x[k] = data->along == CURVE_TIME ? data->t_s[k] : (double)k;
}

static bool from_sightings(const struct record *record, struct curve_data *data)
{
    const struct sightings *s = &record->sightings;
    if (s->count < 2 || !make_room(data, s->count, COLUMNS_BY_EYE))
        return false;
    for (size_t k = 0; k < s->count; k++)
        add_sighting(data, &s->instants[k], value_of(seen(&s->instants[k], CHANNEL_CHARGE_TALLY)),
                     s->tied || s->clips <= 1);
    place_sightings(data);
    if (!(data->x[data->count - 1] > data->x[0]))
        place_without_charge(data);
    for (size_t k = 0; k < s->count; k++)
        add_mark(data, data->x[k], data->t_s[k], s->instants[k].words);
    return true;
}

bool curve_data_make(const struct record *record, struct curve_data *ret_data)
{
    *ret_data = (struct curve_data){0};
    if (!record->findings.has_test)
        return false;
    bool whole = record->by_eye ? from_sightings(record, ret_data) : from_trace(record, ret_data);
    if (!whole) {
        curve_data_free(ret_data);
        return false;
    }
    if (!record->by_eye && !(ret_data->x[ret_data->count - 1] > ret_data->x[0]))
        place_without_charge(ret_data);
    const struct series *series = &record->log.series;
    for (size_t k = 0; !record->by_eye && k < series->mark_count; k++)
        if (series->marks[k].t_s >= ret_data->t_s[0] && series->marks[k].t_s <= ret_data->t_s[ret_data->count - 1])
            add_mark(ret_data, curve_data_at(ret_data, series->marks[k].t_s), series->marks[k].t_s, series->marks[k].words);
    return true;
}

double curve_data_at(const struct curve_data *data, double t_s)
{
    size_t lo = 0, hi = data->count - 1;
    if (!isfinite(t_s) || !isfinite(data->t_s[lo]) || !isfinite(data->t_s[hi]))
        return NAN;
    if (t_s <= data->t_s[lo] || t_s >= data->t_s[hi])
        return t_s <= data->t_s[lo] ? data->x[lo] : data->x[hi];
    while (hi - lo > 1) {
        size_t middle = lo + (hi - lo) / 2;
        *(data->t_s[middle] <= t_s ? &lo : &hi) = middle;
    }
    double span = data->t_s[hi] - data->t_s[lo];
    return span > 0 ? data->x[lo] + (t_s - data->t_s[lo]) / span * (data->x[hi] - data->x[lo]) : data->x[lo];
}
