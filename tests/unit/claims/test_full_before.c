#include "check.h"

#include "battery/conditions.h"
#include "claims/full_before.h"
#include "numeric/budget.h"

#include <string.h>

/* Three records by hand: a charge, a discharge of another day, and the test; the order in the array is not that of time. */
static struct record records[3];
static struct run runs[3];
static struct charging charging;
static struct assessment made;

static void record_of(size_t k, enum run_kind kind, double start_utc_s, double lasts_s, const char *path)
{
    runs[k] = (struct run){.kind = kind, .start_s = 0, .end_s = lasts_s};
    records[k] = (struct record){.findings = {.runs = &runs[k], .run_count = 1, .full_before = NAN}};
    records[k].log.series.start_utc_s = start_utc_s;
    records[k].log.series.zone_known = true;
    snprintf(records[k].path, sizeof records[k].path, "%s", path);
}

static struct findings *make(enum full_shown full, bool below_knee)
{
    record_of(0, RUN_DISCHARGE, 1.75e9 + 40000, 18000, "bench/test.csv"); /* the test */
    record_of(1, RUN_CHARGE, 1.75e9, 15000, "bench/charge.csv");
    record_of(2, RUN_DISCHARGE, 1.75e9 - 90000, 17000, "bench/older.csv");
    charging = (struct charging){.run = 0, .full = full, .below_knee = below_knee, .full_words = "its words"};
    records[1].findings.chargings = &charging;
    records[1].findings.charging_count = 1;
    records[0].findings.has_test = true;
    records[0].findings.conditions[0] = (struct condition){.name = "full charge before"};
    records[0].findings.condition_count = 1;
    made = (struct assessment){.records = records, .record_count = 3};
    return &records[0].findings;
}

TEST(a_charge_of_another_record_counts)
{
    struct findings *f = make(FULL_SHOWN, false);
    full_before_across(&made);
    CHECK(f->full_before == 1 && !f->full_doubted);
    CHECK(strstr(f->full_words, "charge.csv") != NULL && strstr(f->full_words, "6:56:40 earlier") != NULL);
    CHECK(f->conditions[0].known && !f->conditions[0].departs && strstr(f->conditions[0].words, "charge.csv") != NULL);
}

TEST(a_charge_that_filled_nothing_raises_the_doubt)
{
    struct findings *f = make(FULL_NOT_SHOWN, false);
    full_before_across(&made);
    CHECK(isnan(f->full_before) && f->full_doubted && !f->conditions[0].known);
    f = make(FULL_NOT_SHOWN, true);
    full_before_across(&made);
    CHECK(f->full_before == 0 && f->full_doubted && f->conditions[0].departs);
}

TEST(what_was_drawn_since_takes_it_back)
{
    struct findings *f = make(FULL_SHOWN, false);
    records[2].log.series.start_utc_s = 1.75e9 + 20000; /* between the charge and the test */
    full_before_across(&made);
    CHECK(isnan(f->full_before) && !f->full_doubted && strstr(f->full_words, "older.csv") != NULL);
}

TEST(without_a_common_clock_nothing_is_told)
{
    struct findings *f = make(FULL_SHOWN, false);
    records[1].log.series.zone_known = false;
    records[2].log.series.start_utc_s = NAN;
    full_before_across(&made);
    CHECK(isnan(f->full_before) && f->full_words[0] == '\0');
    f = make(FULL_SHOWN, false);
    records[0].log.series.start_utc_s += 40 * 86400.0; /* a month and more later */
    full_before_across(&made);
    CHECK(isnan(f->full_before) && strstr(f->full_words, "days before") != NULL);
}

TEST(what_the_record_itself_says_stands)
{
    struct findings *f = make(FULL_SHOWN, false);
    f->full_before = 0;
    full_before_across(&made);
    CHECK(f->full_before == 0);
}
