/* What the files of a run's routes share. */
#ifndef RUNDOWN_WEB_RUN_PARTS_H
#define RUNDOWN_WEB_RUN_PARTS_H

#include "book/stream.h"
#include "web/workshop.h"

/* The traces of a run over a stretch of it, fit to be drawn: of each stretch of readings the least and the most, or,
 * where they are few enough, the readings themselves. Amps and watts are positive when they leave the sample. */
enum { RUN_TRACES = 5 }; /* volts, amps, watts, temperature, ambient */
struct run_trace {
    enum channel channel;
    bool bounds; /* watts that no instrument gave: between the least and the most that volts times amps can have been */
    struct chart_stretch *at; /* owned */
    size_t count;
};

struct run_chart {
    double from_s, to_s;
    int sign;      /* by which amps as recorded were turned: +1, -1; 0: which way they count cannot be told */
    bool readings; /* the readings themselves */
    struct run_trace traces[RUN_TRACES];
    size_t count;
};

/* `sign` 0: find it. From the book alone. */
enum status run_chart_make(struct book *book, int64_t run, double from_s, double to_s, size_t points, int sign,
                           struct run_chart *ret_chart, struct message *message);
/* The same of readings in memory that are oriented: of logs in which a column says which way the amps count. */
void run_chart_of_series(const struct series *series, double from_s, double to_s, size_t points, struct run_chart *ret_chart);
void run_chart_free(struct run_chart *chart);

/* Which way the run's amps count, from what its log says and from a coarse look at its readings (battery/direction.h);
 * 0 when that does not tell. */
enum status run_sign(struct book *book, int64_t run, int *ret_sign, struct message *message);

/* GET chart; GET readings. The context is the workshop. */
void run_chart_answer(void *context, const struct http_request *request, struct http_reply *reply);
void run_readings_answer(void *context, const struct http_request *request, struct http_reply *reply);

#endif
