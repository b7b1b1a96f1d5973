#include "report/curve_data.h"

#include "base/memory.h"

void curve_data_free(struct curve_data *data)
{
    memory_try_free(data->t_s, data->room_, 4 * sizeof(double));
    *data = (struct curve_data){0};
}

static bool make_room(struct curve_data *data, size_t count)
{
    *data = (struct curve_data){.room_ = count};
    data->t_s = memory_try(count, 4 * sizeof(double));
    if (data->t_s == NULL)
        return false;
    data->x = data->t_s + count;
    data->v = data->x + count;
    data->a = data->v + count;
    return true;
}

static double start_of(const struct findings *f)
{
    return f->runs[f->test_first_run].start_s;
}

/* x from the amps: charge carried along the straight lines between readings. */
static void integrate_x(struct curve_data *data)
{
    double ah = 0;
    for (size_t k = 0; k < data->count; k++) {
        if (k > 0)
            ah += 0.5 * (data->a[k] + data->a[k - 1]) * (data->t_s[k] - data->t_s[k - 1]) / 3600;
        data->x[k] = ah;
    }
}

/* x must not fall (a charge within the test would turn it back). */
static void keep_rising(struct curve_data *data)
{
    for (size_t k = 1; k < data->count; k++)
        data->x[k] = fmax(data->x[k], data->x[k - 1]);
}

static bool from_trace(const struct record *record, struct curve_data *data)
{
    const struct findings *f = &record->findings;
    struct trace trace;
    if (!trace_of_series(&record->log.series, &trace))
        return false;
    size_t first = f->runs[f->test_first_run].first, last = f->runs[f->test_last_run].last;
    size_t count = last < trace.count && last > first ? last - first + 1 : 0;
    bool whole = count >= 2 && make_room(data, count);
    if (whole) {
        data->count = count;
        memcpy(data->t_s, trace.t_s + first, count * sizeof(double));
        memcpy(data->a, trace.a + first, count * sizeof(double));
        for (size_t k = 0; k < count; k++)
            data->v[k] = trace.v != NULL ? trace.v[first + k] : NAN;
        integrate_x(data);
        keep_rising(data);
    }
    trace_free(&trace);
    return whole;
}

static void add_mark(struct curve_data *data, double x, const char *words)
{
    if (words[0] == '\0' || data->mark_count == CURVE_MARKS || !isfinite(x))
        return;
    struct curve_mark *mark = &data->marks[data->mark_count++];
    mark->x = x;
    span_copy(span_of(words), mark->words, sizeof mark->words);
}

static double seen(const struct instant *instant, enum channel channel)
{
    for (size_t k = 0; k < instant->count; k++)
        if (instant->values[k].channel == channel && isfinite(instant->values[k].value))
            return instant->values[k].value;
    return NAN;
}

static double amps_of(const struct instant *instant)
{
    double a = seen(instant, CHANNEL_CURRENT), w = seen(instant, CHANNEL_POWER), v = seen(instant, CHANNEL_VOLTAGE);
    return isnan(a) ? w / v : a;
}

/* Where an instant stands: at its tally, else on the straight line between the tallies about it, in time or
 * in order; without any tally by the amps over time. */
static void place_sightings(const struct sightings *s, struct curve_data *data, const double *tally)
{
    size_t before = 0;
    bool any = false;
    for (size_t k = 0; k < s->count; k++) {
        if (isnan(tally[k]))
            continue;
        for (size_t j = any ? before + 1 : 0; j < k; j++) {
            double span = data->t_s[k] - data->t_s[before];
            double share = isfinite(span) && span > 0 ? (data->t_s[j] - data->t_s[before]) / span
                                                      : (double)(j - before) / (double)(k - before);
            data->x[j] = any ? tally[before] + share * (tally[k] - tally[before]) : 0;
        }
        data->x[k] = tally[k];
        before = k, any = true;
    }
    for (size_t j = before + 1; any && j < s->count; j++) {
        double dt = data->t_s[j] - data->t_s[j - 1], a = isnan(data->a[j]) ? data->a[j - 1] : data->a[j];
        data->x[j] = data->x[j - 1] + (isfinite(dt * a) ? a * dt / 3600 : 0);
    }
    if (!any)
        integrate_x(data);
}

static bool from_sightings(const struct record *record, struct curve_data *data)
{
    const struct sightings *s = &record->sightings;
    if (s->count < 2 || !make_room(data, s->count))
        return false;
    double *tally = memory_get(s->count * sizeof *tally);
    data->count = s->count;
    data->sparse = true;
    for (size_t k = 0; k < s->count; k++) {
        data->t_s[k] = s->instants[k].t_s;
        data->v[k] = seen(&s->instants[k], CHANNEL_VOLTAGE);
        data->a[k] = amps_of(&s->instants[k]);
        tally[k] = seen(&s->instants[k], CHANNEL_CHARGE_TALLY);
    }
    place_sightings(s, data, tally);
    keep_rising(data);
    for (size_t k = 0; k < s->count; k++)
        add_mark(data, data->x[k], s->instants[k].words);
    free(tally);
    return true;
}

bool curve_data_make(const struct record *record, struct curve_data *ret_data)
{
    if (record->by_eye)
        return from_sightings(record, ret_data);
    if (!from_trace(record, ret_data))
        return false;
    const struct series *series = &record->log.series;
    for (size_t k = 0; k < series->mark_count; k++)
        if (series->marks[k].t_s >= start_of(&record->findings) - 60)
            add_mark(ret_data, curve_data_at(ret_data, series->marks[k].t_s), series->marks[k].words);
    return true;
}

double curve_data_at(const struct curve_data *data, double t_s)
{
    size_t lo = 0, hi = data->count - 1;
    if (!(t_s >= data->t_s[0] && t_s <= data->t_s[hi])) /* false for sightings without times */
        return t_s > data->t_s[hi] ? data->x[hi] : data->x[0];
    while (hi - lo > 1) {
        size_t middle = lo + (hi - lo) / 2;
        *(data->t_s[middle] <= t_s ? &lo : &hi) = middle;
    }
    double span = data->t_s[hi] - data->t_s[lo];
    return span > 0 ? data->x[lo] + (t_s - data->t_s[lo]) / span * (data->x[hi] - data->x[lo]) : data->x[lo];
}
