#include "check.h"

#include "battery/findings.h"
#include "claims/label.h"
#include "claims/usual_limits.h"
#include "numeric/budget.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double decide = 0.975;

static struct measure about(double value, double half)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_OTHER, .shape = SHAPE_RECTANGULAR, .u = half / sqrt(3), .dof = INFINITY,
                                   .source = 3, .what = "the probe", .remedy = ""});
    budget_close(&m);
    return m;
}

/* One log with a stop of a charge, a charge and a stop of a discharge. */
struct bench {
    struct label label;
    struct trip trip;
    struct charging charge;
    struct low_stop low;
    struct findings findings;
};

static void set_up(struct bench *b, enum trip_way way, double degc, bool threshold)
{
    *b = (struct bench){.label = label_empty(),
                        .trip = {.charging = true, .way = way, .trip_degc = about(degc, 0.7), .words = "5.1 A going in was stopped"},
                        .charge = {.end_cell_v = measure_unknown("no volts")},
                        .low = {.end_v = measure_unknown("no volts"), .v_plus_ir = NAN, .words = "the board stopped it"}};
    b->trip.threshold_degc = threshold ? about(degc, 0.7) : measure_unknown("no slow ramp");
    b->label.cells = 4;
    b->label.lithium_iron_phosphate = true;
    b->findings = (struct findings){.trips = &b->trip, .trip_count = 1, .chargings = &b->charge, .charging_count = 1,
                                    .low_stops = &b->low, .low_stop_count = 1};
}

static const char *stop_words(struct bench *b)
{
    usual_limits_say(&b->label, decide, &b->findings);
    return b->trip.words;
}

static const char *cold(double degc, bool threshold)
{
    static struct bench b;
    set_up(&b, TRIP_COLD, degc, threshold);
    return strrchr(stop_words(&b), ':');
}

static const char *hot(double degc, bool threshold)
{
    static struct bench b;
    set_up(&b, TRIP_HOT, degc, threshold);
    return strrchr(stop_words(&b), ':');
}

TEST(a_cold_stop_stands_above_or_below_the_usual_limit_or_cannot_be_told)
{
    struct bench b;
    set_up(&b, TRIP_COLD, 1.34, true);
    CHECK_TEXT(stop_words(&b), "5.1 A going in was stopped; lithium iron phosphate is usually not charged below 0 °C: it stopped "
                               "above that");
    CHECK_TEXT(cold(-6.2, true), ": it went on below that");
    CHECK_TEXT(cold(0.4, true), ": on which side it stopped is too close to call");
    CHECK_TEXT(cold(-6.2, false), ": the probe's place was below that, the pack's own sensor perhaps not");
    CHECK_TEXT(cold(3.1, false), ": it stopped above that"); /* the sensor was no colder than the place being chilled */
}

TEST(a_hot_stop_stands_to_both_of_the_usual_limits)
{
    CHECK_TEXT(hot(41.3, true), ": it stopped below both");
    CHECK_TEXT(hot(41.3, false), ": it stopped below both");
    CHECK_TEXT(hot(52.6, true), ": it stopped between the two");
    CHECK_TEXT(hot(52.6, false), ": the probe's place was between the two, the pack's own sensor perhaps not");
    CHECK_TEXT(hot(60.3, true), ": it stopped at about 60 °C");
    CHECK_TEXT(hot(45.2, true), ": it stopped at about 45 °C");
    CHECK_TEXT(hot(66.8, true), ": it stopped above both");
}

TEST(a_full_cell_is_told_by_the_mean_which_is_not_the_highest_cell)
{
    struct bench b;
    set_up(&b, TRIP_HIGH, 21, false);
    CHECK_TEXT(stop_words(&b), "5.1 A going in was stopped"); /* volts unknown, and a temperature that has no part in it */
    b.charge.end_cell_v = about(3.527, 0.01);
    CHECK_TEXT(stop_words(&b), "5.1 A going in was stopped; the usual limit of lithium iron phosphate is 3.65 V a cell: their mean at the terminals was "
                               "3.527 V, below it; one cell may have stood higher");
    set_up(&b, TRIP_HIGH, 21, false);
    b.charge.end_cell_v = about(3.71, 0.01);
    CHECK(strstr(stop_words(&b), "3.710 V, above it, with what leads and board take") != NULL);
    set_up(&b, TRIP_HIGH, 21, false);
    b.charge.end_cell_v = about(3.655, 0.02);
    CHECK(strstr(stop_words(&b), "too close to it to call") != NULL);
}

static const char *low(double end_v, double v_plus_ir)
{
    static struct bench b;
    set_up(&b, TRIP_COLD, 1.34, true);
    b.low.end_v = about(end_v, 0.05);
    b.low.v_plus_ir = v_plus_ir;
    usual_limits_say(&b.label, decide, &b.findings);
    return strrchr(b.low.words, ':');
}

TEST(an_empty_cell_is_told_with_what_the_load_takes)
{
    CHECK_TEXT(low(10.53, 10.9), ": their mean at the terminals was above it; one cell may have stood lower");
    CHECK_TEXT(low(9.41, 9.77), ": their mean at the terminals was below it, with I·R added too");
    CHECK_TEXT(low(9.41, 10.2), ": their mean at the terminals was below it, but not with I·R added");
    CHECK_TEXT(low(9.41, NAN), ": their mean at the terminals was below it, under a load of which I·R is not known");
    CHECK_TEXT(low(10.02, 10.3), ": their mean at the terminals was too close to it to call");
}

TEST(nothing_is_added_for_another_chemistry_or_without_what_is_needed)
{
    struct bench b;
    set_up(&b, TRIP_COLD, 1.34, true);
    b.low.end_v = about(10.5, 0.05);
    b.label.lithium_iron_phosphate = false;
    CHECK_TEXT(stop_words(&b), "5.1 A going in was stopped");
    CHECK_TEXT(b.low.words, "the board stopped it");
    b.label.lithium_iron_phosphate = true;
    b.label.cells = 0;
    b.trip.charging = false; /* the limits of discharging are others */
    CHECK_TEXT(stop_words(&b), "5.1 A going in was stopped");
    CHECK_TEXT(b.low.words, "the board stopped it");
}

TEST(words_are_never_cut)
{
    struct bench b;
    set_up(&b, TRIP_COLD, -6.2, false);
    memset(b.trip.words, 'w', 450);
    b.trip.words[450] = '\0';
    CHECK(strstr(stop_words(&b), "perhaps not") != NULL);
}

static size_t minded(const struct bench *b, const char *words)
{
    struct notices notices = {0};
    size_t found = 0;
    usual_limits_mind(&b->label, &b->findings, "shed.csv", &notices);
    for (size_t k = 0; k < notices.count; k++)
        found += strstr(notices.items[k].text, words) != NULL;
    CHECK(found == notices.count);
    notices_free(&notices);
    return found;
}

TEST(a_charge_that_went_on_beyond_the_usual_is_a_notice_where_nothing_is_claimed_of_it)
{
    struct bench b;
    struct run runs[2] = {{.kind = RUN_CHARGE, .degc_min = -6.24, .degc_max = 3.1}, {.kind = RUN_DISCHARGE, .degc_min = -8, .degc_max = 64}};
    struct claim claim = {.kind = CLAIM_YES_NO, .slug = "charging-stops-when-cold"};
    set_up(&b, TRIP_COLD, 1.34, true);
    b.findings.runs = runs;
    b.findings.run_count = 2;
    CHECK(minded(&b, "-6.2") == 0); /* a stop ended that charge */
    b.findings.trip_count = 0;
    CHECK(minded(&b, "shed.csv: A charge went on with the probe at -6.2 °C; lithium iron phosphate is usually not charged below 0 °C.") == 1);
    b.label.claims = &claim;
    b.label.claim_count = 1;
    CHECK(minded(&b, "") == 0); /* the verdict tells it */
    runs[0].degc_max = 61.7;
    CHECK(minded(&b, "at 61.7 °C; lithium iron phosphate is usually not charged above 60 °C. Whether the pack's own sensor was as hot") == 1);
    runs[0].degc_min = runs[0].degc_max = NAN;
    CHECK(minded(&b, "") == 0);
    b.label.lithium_iron_phosphate = false;
    runs[0].degc_min = -6.24;
    CHECK(minded(&b, "") == 0);
}
