/* The curve of a recording so far: volts and amps, from the summaries and the journal of the book. What is newer than
 * its last commit comes to the page as "live". */
#include "web/bench_parts.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "book/stream.h"

static const enum channel shown[] = {CHANNEL_VOLTAGE, CHANNEL_CURRENT};
static const char *const keys[] = {"voltage_v", "current_a"};
enum { SHOWN = 2, POINTS = 600, POINTS_AT_MOST = 4000 };

struct curve {
    json_t *t_s, *low, *high, *last;
};

static struct curve curve_new(void)
{
    return (struct curve){json_array(), json_array(), json_array(), json_array()};
}

static void curve_add(struct curve *curve, double t_s, double low, double high, double last)
{
    json_array_append_new(curve->t_s, json_number(t_s));
    json_array_append_new(curve->low, json_number(low));
    json_array_append_new(curve->high, json_number(high));
    json_array_append_new(curve->last, json_number(last));
}

static void put_curve(json_t *all, const char *key, const struct curve *curve)
{
    json_t *one = json_object();
    json_put(one, "t_s", curve->t_s);
    json_put(one, "low", curve->low);
    json_put(one, "high", curve->high);
    json_put(one, "last", curve->last);
    json_put(all, key, one);
}

/* The first stream that has the channel, in the order of the rig. */
static const struct book_stream *find(const struct book_stream_list *streams, enum channel channel, int *ret_column)
{
    for (size_t k = 0; k < streams->count; k++)
        for (int c = 0; c < streams->items[k].columns; c++)
            if (streams->items[k].column[c].channel == channel) {
                *ret_column = c;
                return &streams->items[k];
            }
    return NULL;
}

static enum status add_stream(struct book *book, const struct book_stream *stream, int column, size_t points,
                              struct curve *curve, struct message *message)
{
    struct summary totals[BLOCK_COLUMNS];
    enum status status = stream_totals(book, stream->id, totals, message);
    if (status != STATUS_OK || totals[0].count == 0)
        return status;
    struct chart_stretch *stretches = memory_get(points * sizeof *stretches);
    size_t count = 0;
    status = stream_chart(book, stream, column, totals[0].first, totals[0].last, points, stretches, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++)
        if (stretches[k].count > 0)
            curve_add(curve, stretches[k].to_s, stretches[k].min, stretches[k].max, stretches[k].last);
    free(stretches);
    return status;
}

/* Lines that were typed are few: each is a point. Their amps flow the way of the test. */
static void add_lines(struct book *book, const struct book_run *run, struct curve curves[static SHOWN])
{
    const double sign = run->kind == TEST_CHARGE ? -1 : 1;
    struct sightings typed = {0};
    if (stored_typed(book, run->id, &typed, NULL) != STATUS_OK)
        return;
    for (size_t k = 0; k < typed.count; k++) {
        const struct instant *instant = &typed.instants[k];
        for (size_t i = 0; i < instant->count; i++)
            for (int c = 0; c < SHOWN; c++)
                if (instant->values[i].channel == shown[c] && isfinite(instant->values[i].value)) {
                    double value = shown[c] == CHANNEL_CURRENT ? sign * fabs(instant->values[i].value)
                                                               : instant->values[i].value;
                    curve_add(&curves[c], instant->t_s, value, value, value);
                }
    }
    sightings_free(&typed);
}

static enum status draw(struct book *book, int64_t run, size_t points, json_t **ret_value, struct message *message)
{
    struct book_stream_list streams = {0};
    struct curve curves[SHOWN] = {curve_new(), curve_new()};
    struct book_run of = {0};
    enum status status = book_run_get(book, run, &of, message);
    if (status == STATUS_OK)
        status = book_streams(book, run, &streams, message);
    for (int c = 0; c < SHOWN && status == STATUS_OK; c++) {
        int column = 0;
        const struct book_stream *stream = find(&streams, shown[c], &column);
        if (stream != NULL)
            status = add_stream(book, stream, column, points, &curves[c], message);
    }
    if (status == STATUS_OK && streams.count == 0)
        add_lines(book, &of, curves);
    book_stream_list_free(&streams);
    json_t *all = json_object();
    for (int c = 0; c < SHOWN; c++)
        put_curve(all, keys[c], &curves[c]);
    if (status == STATUS_OK)
        *ret_value = all;
    else
        json_decref(all);
    return status;
}

void bench_curve(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    json_t *value = NULL;
    int64_t run = 0;
    double points = POINTS;
    enum status status = http_id(request->parts[0], &run, &message);
    if (status == STATUS_OK)
        status = http_number("points", http_query(request, "points"), 2, POINTS_AT_MOST, POINTS, &points, &message);
    struct book *book = status == STATUS_OK ? workshop_take(workshop, BOOK_READ, &message) : NULL;
    if (book != NULL) {
        status = draw(book, run, (size_t)points, &value, &message);
        workshop_put(workshop, book);
    }
    if (book != NULL && status == STATUS_OK)
        http_json(reply, value);
    else
        http_fail(reply, 0, &message);
}
