/* Records by hand: a discharge with a test over all of it. */
#ifndef RUNDOWN_TESTS_REPORT_MADE_RECORD_H
#define RUNDOWN_TESTS_REPORT_MADE_RECORD_H

#include "assessed.h"

/* One record whose log has `count` readings every `period_s`, its only run a discharge over all of them; volts
 * and amps are for the caller to fill. Free it with record_free. */
static inline struct assessment with_record(size_t count, double period_s)
{
    struct assessment made = {.decide = 0.975};
    made.label = label_empty();
    made.records = memory_get(sizeof *made.records);
    made.record_count = 1;
    struct record *record = &made.records[0];
    snprintf(record->path, sizeof record->path, "%s", "a folder/made.csv");
    struct series *series = &record->log.series;
    CHECK(series_init(series, count, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    series->count = count;
    series->oriented = true;
    for (size_t k = 0; k < count; k++)
        series->t_s[k] = period_s * (double)k;
    struct findings *f = &record->findings;
    f->runs = memory_get(sizeof *f->runs);
    f->run_count = 1;
    f->runs[0] = (struct run){.kind = RUN_DISCHARGE, .last = count - 1, .end_s = period_s * (double)(count - 1)};
    f->runs[0].ended = (struct ending){.end_v = measure_unknown("by hand"), .end_cell_v = NAN, .recovery_v = NAN,
                                       .recovery_after_s = NAN, .knee_s = NAN, .knee_minutes = NAN};
    f->has_test = true;
    f->period_s = period_s;
    f->test_ah = f->test_wh = f->test_mean_v = f->test_duration_s = measure_unknown("by hand");
    f->rated_ah.rated = f->rated_wh.rated = NAN;
    f->load.exponent = measure_unknown("by hand");
    f->efficiency_charge = f->efficiency_energy = f->wake_ah = measure_unknown("by hand");
    f->test_end_s = f->runs[0].end_s;
    f->test_mean_a = f->test_peak_a = f->test_degc = f->load.level = NAN;
    return made;
}

static inline void record_free(struct assessment *made)
{
    log_free(&made->records[0].log);
    findings_free(&made->records[0].findings);
    made_free(made);
}

#endif
