#include "quantity/series.h"

#include "base/memory.h"

bool series_init(struct series *series, size_t capacity, unsigned wanted)
{
    *series = (struct series){.capacity = capacity, .start_utc_s = NAN};
    series->t_s = memory_try(capacity, sizeof(double));
    bool whole = series->t_s != NULL;
    for (int c = 0; c < CHANNELS && whole; c++) {
        if ((wanted & 1u << c) == 0)
            continue;
        series->column[c] = memory_try(capacity, sizeof(double));
        whole = series->column[c] != NULL;
    }
    if (!whole)
        series_free(series);
    return whole;
}

void series_free(struct series *series)
{
    memory_try_free(series->t_s, series->capacity, sizeof(double));
    for (int c = 0; c < CHANNELS; c++)
        memory_try_free(series->column[c], series->capacity, sizeof(double));
    for (size_t k = 0; k < series->mark_count; k++)
        free(series->marks[k].words);
    free(series->marks);
    free(series->gaps);
    *series = (struct series){.start_utc_s = NAN};
}

void series_mark(struct series *series, double t_s, const char *words, long line)
{
    series->marks = memory_grow(series->marks, series->mark_count, &series->mark_capacity);
    series->marks[series->mark_count++] = (struct mark){t_s, memory_copy_string(words), line};
}

void series_gap(struct series *series, struct gap gap)
{
    series->gaps = memory_grow(series->gaps, series->gap_count, &series->gap_capacity);
    series->gaps[series->gap_count++] = gap;
}

/* NaN is the only value that differs from itself; the sum of differences tells without a branch. */
static size_t holes(const double *x, size_t n)
{
    size_t count = 0;
    for (size_t k = 0; k < n; k++)
        count += x[k] != x[k];
    return count;
}

static void compact(const struct series *series, const double *v, const double *amps, const double *w,
                    struct trace *trace)
{
    double *t_out = trace->owned_, *a_out = t_out + series->count, *v_out = a_out + series->count;
    size_t n = 0;
    for (size_t k = 0; k < series->count; k++) {
        double a = amps != NULL ? amps[k] : w[k] / v[k];
        if (!isfinite(a) || (v != NULL && isnan(v[k])))
            continue;
        t_out[n] = series->t_s[k];
        a_out[n] = a;
        if (v != NULL)
            v_out[n] = v[k];
        trace->owned_row_[n++] = k;
    }
    trace->count = n;
    trace->t_s = t_out;
    trace->a = a_out;
    trace->v = v != NULL ? v_out : NULL;
    trace->row = trace->owned_row_;
}

bool trace_of_series(const struct series *series, struct trace *ret_trace)
{
    const double *v = series->column[CHANNEL_VOLTAGE], *a = series->column[CHANNEL_CURRENT];
    const double *w = series->column[CHANNEL_POWER];
    size_t n = series->count;
    struct trace trace = {.count = n, .t_s = series->t_s, .v = v, .a = a};
    if (a == NULL && (w == NULL || v == NULL)) { /* neither amps nor a way to them */
        *ret_trace = (struct trace){.left_out = n};
        return true;
    }
    if (a == NULL || holes(a, n) > 0 || (v != NULL && holes(v, n) > 0)) {
        trace.owned_capacity_ = n;
        trace.owned_ = memory_try(n, 3 * sizeof(double));
        trace.owned_row_ = memory_try(n, sizeof(size_t));
        if (trace.owned_ == NULL || trace.owned_row_ == NULL) {
            trace_free(&trace);
            return false;
        }
        compact(series, v, a, w, &trace);
        trace.left_out = n - trace.count;
    }
    *ret_trace = trace;
    return true;
}

void trace_free(struct trace *trace)
{
    memory_try_free(trace->owned_, trace->owned_capacity_, 3 * sizeof(double));
    memory_try_free(trace->owned_row_, trace->owned_capacity_, sizeof(size_t));
    *trace = (struct trace){0};
}
