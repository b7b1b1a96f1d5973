/* The traces of a run, from the summaries of its streams or from its readings. */
#include "web/run_parts.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "battery/direction.h"

#include <stdint.h>

static const enum channel shown[] = {CHANNEL_VOLTAGE, CHANNEL_CURRENT, CHANNEL_POWER, CHANNEL_TEMPERATURE, CHANNEL_AMBIENT};
enum { SHOWN = sizeof shown / sizeof *shown, LOOK = 20000 };

/* The first stream and column that has a channel; of two the first counts, as for the findings. */
struct source {
    const struct book_stream *stream; /* NULL: none has it */
    int column;
};

static struct source source_of(const struct book_stream_list *streams, enum channel channel)
{
    for (size_t k = 0; k < streams->count; k++)
        for (int c = 0; c < streams->items[k].columns; c++)
            if (streams->items[k].column[c].channel == channel)
                return (struct source){&streams->items[k], c};
    return (struct source){NULL, 0};
}

void run_chart_free(struct run_chart *chart)
{
    for (size_t k = 0; k < chart->count; k++)
        free(chart->traces[k].at);
    *chart = (struct run_chart){0};
}

static struct run_trace *trace_of(struct run_chart *chart, enum channel channel)
{
    for (size_t k = 0; k < chart->count; k++)
        if (chart->traces[k].channel == channel)
            return &chart->traces[k];
    return NULL;
}

static struct run_trace *add_trace(struct run_chart *chart, enum channel channel, size_t room)
{
    struct run_trace *trace = &chart->traces[chart->count++];
    *trace = (struct run_trace){.channel = channel, .at = memory_get((room + 1) * sizeof *trace->at)};
    return trace;
}

static enum status take_stretches(struct book *book, const struct book_stream_list *streams, size_t points,
                                  struct run_chart *chart, struct message *message)
{
    enum status status = STATUS_OK;
    for (int k = 0; k < SHOWN && status == STATUS_OK; k++) {
        struct source source = source_of(streams, shown[k]);
        if (source.stream == NULL)
            continue;
        struct run_trace *trace = add_trace(chart, shown[k], points);
        status = stream_chart(book, source.stream, source.column, chart->from_s, chart->to_s, points, trace->at,
                              &trace->count, message);
    }
    return status;
}

static bool few_readings(const struct run_chart *chart, size_t points)
{
    for (size_t k = 0; k < chart->count; k++) {
        int64_t sum = 0;
        for (size_t j = 0; j < chart->traces[k].count; j++)
            sum += chart->traces[k].at[j].count > 0 ? chart->traces[k].at[j].count : 1;
        if (sum > (int64_t)points)
            return false;
    }
    return chart->count > 0;
}

/* The readings of one column, as stretches of one each. */
struct collecting {
    struct run_trace *trace;
    const struct unit *unit;
    int position;
    size_t room;
    bool full;
};

static bool collect(void *context, const struct block_columns *block)
{
    struct collecting *collecting = context;
    struct run_trace *trace = collecting->trace;
    for (size_t k = 0; k < block->count && !collecting->full; k++) {
        struct decimal cell = block->cells[collecting->position][k];
        double t_s = decimal_value(block->cells[0][k]);
        double value = cell.kind == DECIMAL_NUMBER ? unit_own(decimal_value(cell), collecting->unit) : NAN;
        collecting->full = trace->count == collecting->room;
        if (!collecting->full)
            trace->at[trace->count++] =
                (struct chart_stretch){t_s, t_s, value, value, value, value, !isnan(value)};
    }
    return !collecting->full;
}

/* False in *ret_all when there are more than was thought. */
static enum status take_readings(struct book *book, const struct book_stream_list *streams, size_t points,
                                 struct run_chart *chart, bool *ret_all, struct message *message)
{
    struct run_chart exact = {.from_s = chart->from_s, .to_s = chart->to_s, .sign = chart->sign, .readings = true};
    enum status status = STATUS_OK;
    bool full = false;
    for (size_t k = 0; k < chart->count && status == STATUS_OK && !full; k++) {
        struct source source = source_of(streams, chart->traces[k].channel);
        struct collecting collecting = {.unit = &source.stream->column[source.column].unit,
                                        .position = source.column + 1,
                                        .room = 2 * points};
        collecting.trace = add_trace(&exact, chart->traces[k].channel, collecting.room);
        status = stream_walk(book, source.stream->id, chart->from_s, chart->to_s, collect, &collecting, message);
        full = collecting.full;
    }
    *ret_all = status == STATUS_OK && !full;
    if (*ret_all) {
        run_chart_free(chart);
        *chart = exact;
    } else {
        run_chart_free(&exact);
    }
    return status;
}

/* Least and most of v·a where either lies within its bounds. */
static struct chart_stretch product(const struct chart_stretch *v, double least_a, double most_a)
{
    const double corners[] = {v->min * least_a, v->min * most_a, v->max * least_a, v->max * most_a};
    struct chart_stretch watts = {v->from_s, v->to_s, corners[0], corners[0], NAN, NAN, v->count};
    for (int k = 1; k < 4; k++) {
        watts.min = fmin(watts.min, corners[k]);
        watts.max = fmax(watts.max, corners[k]);
    }
    return watts;
}

/* Volts times amps, where no instrument gave watts. The amps of a stretch of volts are those of all stretches that
 * touch it, and where none does those of its two neighbours, straight between. */
static void add_watts(struct run_chart *chart)
{
    const struct run_trace *volts = trace_of(chart, CHANNEL_VOLTAGE), *amps = trace_of(chart, CHANNEL_CURRENT);
    if (volts == NULL || amps == NULL || trace_of(chart, CHANNEL_POWER) != NULL || amps->count == 0)
        return;
    struct run_trace *watts = add_trace(chart, CHANNEL_POWER, volts->count);
    size_t from = 0;
    for (size_t k = 0; k < volts->count; k++) {
        const struct chart_stretch *v = &volts->at[k];
        while (from + 1 < amps->count && amps->at[from].to_s < v->from_s)
            from++;
        size_t first = from > 0 && amps->at[from].from_s > v->from_s ? from - 1 : from, last = first;
        while (last + 1 < amps->count && amps->at[last].to_s < v->to_s)
            last++;
        double least = INFINITY, most = -INFINITY;
        for (size_t j = first; j <= last; j++) {
            least = fmin(least, amps->at[j].min);
            most = fmax(most, amps->at[j].max);
        }
        if (v->count == 0 || !(least <= most))
            watts->at[k] = (struct chart_stretch){v->from_s, v->to_s, NAN, NAN, NAN, NAN, 0};
        else
            watts->at[k] = product(v, least, most);
        watts->bounds |= watts->at[k].max > watts->at[k].min;
    }
    watts->count = volts->count;
}

static void turn(struct run_trace *trace)
{
    for (size_t k = 0; k < trace->count; k++) {
        struct chart_stretch *at = &trace->at[k];
        *at = (struct chart_stretch){at->from_s, at->to_s, 0 - at->max, 0 - at->min, 0 - at->first, 0 - at->last, at->count};
    }
}

/* A log's watts may be counted the other way than its amps. */
static void orient(struct run_chart *chart)
{
    struct run_trace *amps = trace_of(chart, CHANNEL_CURRENT), *watts = trace_of(chart, CHANNEL_POWER);
    if (chart->sign < 0 && amps != NULL)
        turn(amps);
    else if (chart->sign < 0 && watts != NULL)
        turn(watts);
    double together = 0;
    for (size_t k = 0; amps != NULL && watts != NULL && k < amps->count && k < watts->count; k++)
        if (amps->at[k].count > 0 && watts->at[k].count > 0)
            together += (amps->at[k].min + amps->at[k].max) * (watts->at[k].min + watts->at[k].max);
    if (watts != NULL && together < 0)
        turn(watts);
}

/* A look at so many stretches of a log: what its volts do at the steps of its amps. */
static enum status look(struct book *book, const struct book_stream_list *streams, int *ret_sign, struct message *message)
{
    struct run_chart chart = {.from_s = -INFINITY, .to_s = INFINITY};
    enum status status = take_stretches(book, streams, LOOK, &chart, message);
    const struct run_trace *volts = trace_of(&chart, CHANNEL_VOLTAGE), *amps = trace_of(&chart, CHANNEL_CURRENT);
    double *columns = status == STATUS_OK && volts != NULL && amps != NULL && volts->count == amps->count
                          ? memory_get(3 * (volts->count + 1) * sizeof *columns)
                          : NULL;
    struct trace trace = {.t_s = columns, .v = columns != NULL ? columns + volts->count : NULL,
                          .a = columns != NULL ? columns + 2 * volts->count : NULL};
    for (size_t k = 0; columns != NULL && k < volts->count; k++) {
        if (volts->at[k].count == 0 || amps->at[k].count == 0)
            continue;
        columns[trace.count] = volts->at[k].from_s;
        columns[volts->count + trace.count] = volts->at[k].first;
        columns[2 * volts->count + trace.count++] = amps->at[k].first;
    }
    if (status == STATUS_OK)
        *ret_sign = columns != NULL && trace.count > 0 ? direction_find(&trace).sign : 0;
    free(columns);
    run_chart_free(&chart);
    return status;
}

static enum status sign_of(struct book *book, int64_t id, const struct book_stream_list *streams, int *ret_sign,
                           struct message *message)
{
    struct book_run run;
    enum sign_stated stated = SIGN_NOT_STATED;
    enum status status = book_run_get(book, id, &run, message);
    if (status == STATUS_OK)
        status = stored_sign(book, &run, &stated, message);
    if (status != STATUS_OK)
        return status;
    if (stated == SIGN_NOT_STATED)
        return look(book, streams, ret_sign, message);
    *ret_sign = stated == SIGN_CHARGE_POSITIVE ? -1 : 1;
    return STATUS_OK;
}

enum status run_sign(struct book *book, int64_t run, int *ret_sign, struct message *message)
{
    struct book_stream_list streams = {0};
    enum status status = book_streams(book, run, &streams, message);
    if (status == STATUS_OK)
        status = sign_of(book, run, &streams, ret_sign, message);
    book_stream_list_free(&streams);
    return status;
}

static enum status make(struct book *book, int64_t run, size_t points, const struct book_stream_list *streams,
                        struct run_chart *chart, struct message *message)
{
    bool all = false;
    enum status status = chart->sign == 0 ? sign_of(book, run, streams, &chart->sign, message) : STATUS_OK;
    if (status == STATUS_OK)
        status = take_stretches(book, streams, points, chart, message);
    if (status == STATUS_OK && few_readings(chart, points))
        status = take_readings(book, streams, points, chart, &all, message);
    if (status == STATUS_OK) {
        orient(chart);
        add_watts(chart);
    }
    return status;
}

/* Readings first…end - 1 of a column; those that begin in one even part of the time are one stretch. */
static void thin(const struct series *series, const double *column, size_t first, size_t end, size_t points,
                 struct run_trace *trace)
{
    double from_s = series->t_s[first], span_s = series->t_s[end - 1] - from_s;
    size_t part = SIZE_MAX;
    for (size_t k = first; k < end; k++) {
        double t_s = series->t_s[k], value = column[k], share = span_s > 0 ? (t_s - from_s) / span_s * (double)points : 0;
        size_t now = end - first <= points ? k : share < (double)points ? (size_t)share : points - 1;
        struct chart_stretch *last = &trace->at[trace->count > 0 ? trace->count - 1 : 0];
        if (now != part) {
            trace->at[trace->count++] = (struct chart_stretch){t_s, t_s, value, value, value, value, !isnan(value)};
            part = now;
            continue;
        }
        last->to_s = t_s;
        last->min = fmin(last->min, value); /* passes over NaN */
        last->max = fmax(last->max, value);
        last->count += !isnan(value);
    }
}

void run_chart_of_series(const struct series *series, double from_s, double to_s, size_t points, struct run_chart *ret_chart)
{
    struct run_chart chart = {.from_s = from_s, .to_s = to_s, .sign = 1};
    size_t first = 0, end = series->count;
    while (first < end && series->t_s[first] < from_s)
        first++;
    while (end > first && series->t_s[end - 1] > to_s)
        end--;
    chart.readings = end - first <= points;
    for (int k = 0; k < SHOWN && first < end; k++)
        if (series->column[shown[k]] != NULL)
            thin(series, series->column[shown[k]], first, end, points,
                 add_trace(&chart, shown[k], chart.readings ? end - first : points));
    add_watts(&chart);
    *ret_chart = chart;
}

enum status run_chart_make(struct book *book, int64_t run, double from_s, double to_s, size_t points, int sign,
                           struct run_chart *ret_chart, struct message *message)
{
    struct book_stream_list streams = {0};
    struct run_chart chart = {.from_s = from_s, .to_s = to_s, .sign = sign};
    enum status status = book_begin(book, message); /* one state of a run that may still be recorded */
    if (status != STATUS_OK)
        return status;
    status = book_streams(book, run, &streams, message);
    if (status == STATUS_OK)
        status = make(book, run, points, &streams, &chart, message);
    book_rollback(book);
    book_stream_list_free(&streams);
    if (status == STATUS_OK)
        *ret_chart = chart;
    else
        run_chart_free(&chart);
    return status;
}
