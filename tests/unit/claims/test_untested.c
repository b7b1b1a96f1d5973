#include "check.h"

#include "claims/untested.h"

static struct record record;
static struct claim claim;
static struct decision decision;

static struct assessment of(struct findings findings)
{
    record.findings = findings;
    return (struct assessment){.records = &record, .record_count = 1, .has_opened = true};
}

static const char *said(const struct assessment *assessment)
{
    static char buffer[400];
    struct text text = TEXT_EMPTY;
    untested_say(assessment, &text);
    span_copy(span_of(text_string(&text)), buffer, sizeof buffer);
    text_free(&text);
    return buffer;
}

TEST(nothing_read_is_nothing_tested)
{
    struct assessment assessment = {0};
    CHECK_TEXT(said(&assessment), "Not tested: what it delivers and its charge; its protections against charging in the cold, charging "
                                  "in the heat, an overfull cell, an empty cell and too much current. It was not opened. ");
}

TEST(a_stop_takes_its_own_protection_off_and_no_other)
{
    struct charging charge = {0};
    struct low_stop low = {0};
    struct trip trips[] = {{.charging = true, .way = TRIP_COLD}, {.charging = false, .way = TRIP_HOT},
                           {.charging = false, .way = TRIP_OVER_CURRENT}, {.charging = true, .way = TRIP_UNKNOWN}};
    struct findings findings = {.has_test = true, .chargings = &charge, .charging_count = 1, .trips = trips, .trip_count = 4};
    struct assessment assessment = of(findings);
    CHECK_TEXT(said(&assessment), "Not tested: its protections against charging in the heat, an overfull cell and an empty cell. ");
    findings.low_stops = &low;
    findings.low_stop_count = 1;
    trips[3].way = TRIP_HOT;
    assessment = of(findings);
    CHECK_TEXT(said(&assessment), "Not tested: its protection against an overfull cell. ");
    trips[1] = (struct trip){.charging = true, .way = TRIP_HIGH};
    CHECK_TEXT(said(&assessment), "");
}

/* A board that opened for too much current far from empty has shown nothing of an empty cell. */
TEST(a_discharge_that_ended_for_its_current_is_no_low_stop)
{
    struct run run = {.kind = RUN_DISCHARGE, .ended = {.by = ENDED_BMS, .low = false}};
    struct trip trip = {.way = TRIP_OVER_CURRENT};
    struct assessment assessment = of((struct findings){.runs = &run, .run_count = 1, .has_test = true, .trips = &trip, .trip_count = 1});
    CHECK_TEXT(said(&assessment), "Not tested: its charge; its protections against charging in the cold, charging in the heat, an "
                                  "overfull cell and an empty cell. ");
}

static const char *said_with(const char *slug, enum claim_kind kind, enum verdict verdict)
{
    static struct trip trips[] = {{.charging = true, .way = TRIP_HIGH}, {.charging = true, .way = TRIP_HOT}, {.way = TRIP_OVER_CURRENT}};
    static struct low_stop low;
    static struct charging charge;
    struct assessment assessment = of((struct findings){.has_test = true, .chargings = &charge, .charging_count = 1, .trips = trips,
                                                        .trip_count = 3, .low_stops = &low, .low_stop_count = 1});
    claim = (struct claim){.kind = kind};
    snprintf(claim.slug, sizeof claim.slug, "%s", slug);
    decision = (struct decision){.claim = &claim, .verdict = verdict};
    assessment.decisions = &decision;
    assessment.decision_count = 1;
    return said(&assessment);
}

TEST(what_somebody_noted_of_a_protection_counts)
{
    const char *cold = "Not tested: its protection against charging in the cold. ";
    CHECK_TEXT(said_with("charging-stops-when-cold", CLAIM_YES_NO, VERDICT_MET), "");
    CHECK_TEXT(said_with("charging-stops-when-cold", CLAIM_YES_NO, VERDICT_NOT_MET), "");
    CHECK_TEXT(said_with("lowest-charge-temperature", CLAIM_CHARGE_TEMPERATURE_MIN, VERDICT_TOO_CLOSE), "");
    CHECK_TEXT(said_with("charging-stops-when-cold", CLAIM_YES_NO, VERDICT_NOT_TESTED), cold);
    CHECK_TEXT(said_with("charging-stops-when-cold", CLAIM_YES_NO, VERDICT_NOT_EXERCISED), cold); /* a charge that went on */
    CHECK_TEXT(said_with("cold-resistant-case", CLAIM_YES_NO, VERDICT_MET), cold);
    CHECK_TEXT(said_with("low-temperature-protection", CLAIM_YES_NO, VERDICT_MET), "");
    CHECK_TEXT(said_with("discharging-stops-when-cold", CLAIM_YES_NO, VERDICT_MET), cold);
    CHECK_TEXT(said_with("charging-stops-when-hot", CLAIM_YES_NO, VERDICT_MET), cold);
}
