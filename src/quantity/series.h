/* Series: the readings of one log, in the order of time, as columns.
 *
 * Invariants: t_s is finite and never decreases (equal instants are kept); a column is NULL when the
 * log has no such channel and holds NaN where a cell was missing; amps are positive when current
 * leaves the sample once `oriented`, otherwise as the log had them. Nothing is repaired: a row that
 * could not be read is not here but among the log's bad rows. */
#ifndef RUNDOWN_QUANTITY_SERIES_H
#define RUNDOWN_QUANTITY_SERIES_H

#include "quantity/channel.h"

#include <stddef.h>

/* A word put at an instant. */
struct mark {
    double t_s;
    char *words; /* owned by the series */
    long line;
};

/* The interval between reading `after - 1` and reading `after` is not known from the log's clock. */
struct gap {
    size_t after;
    double assumed_s;  /* what t_s holds for it */
    double lo_s, hi_s; /* what it can have been; hi_s is INFINITY when nothing bounds it */
    const char *why;   /* static: "the clock stepped back" */
};

struct series {
    size_t count, capacity;
    double *t_s;
    double *column[CHANNELS];
    double resolution[CHANNELS]; /* one step of the last digit seen, own unit; 0 unknown */
    double time_resolution_s;
    double start_utc_s; /* Unix time of t_s = 0; NaN when the log gives none */
    bool zone_known;    /* start_utc_s is UTC, not merely some local clock */
    bool oriented;
    struct mark *marks;
    size_t mark_count, mark_capacity;
    struct gap *gaps;
    size_t gap_count, gap_capacity;
};

/* An empty series with room for `capacity` readings of the channels set in `wanted` (bit 1 << channel);
 * false when memory does not allow it. */
bool series_init(struct series *series, size_t capacity, unsigned wanted);
void series_free(struct series *series);
void series_mark(struct series *series, double t_s, const char *words, long line);
void series_gap(struct series *series, struct gap gap);

/* Trace: volts and amps together, without holes; what the numeric code works on. Where the series
 * has no holes it borrows its columns, else it owns compacted copies. */
struct trace {
    size_t count;
    const double *t_s, *v, *a; /* v is NULL when the log has no voltage */
    const size_t *row;         /* index into the series, NULL when the same */
    size_t left_out;           /* readings without volts or amps */
    double *owned_;
    size_t *owned_row_;
    size_t owned_capacity_;
};

/* False when memory does not allow it. A log with power and volts but no amps gets amps = W / V. */
bool trace_of_series(const struct series *series, struct trace *ret_trace);
void trace_free(struct trace *trace);

#endif
