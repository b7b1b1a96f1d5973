#include "made_record.h"

#include "battery/trip_judge.h"
#include "report/account.h"

static struct measure two_parts(double value, double large_u, double small_u)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_CURRENT,
                                   .shape = SHAPE_RECTANGULAR,
                                   .u = large_u,
                                   .dof = INFINITY,
                                   .source = 3,
                                   .what = "gain of the shunt",
                                   .remedy = "a better shunt"});
    measure_part(&m, (struct part){.cause = CAUSE_NOISE,
                                   .shape = SHAPE_NORMAL,
                                   .u = small_u,
                                   .dof = INFINITY,
                                   .what = "noise"});
    budget_close(&m);
    return m;
}

TEST(a_budget_is_sorted_and_adds_up)
{
    struct measure m = two_parts(61.3, 0.37, 0.0021);
    struct listing whole = listing_of(3), brief = listing_of(3);
    account_budget(&m, "Ah", false, &whole);
    account_budget(&m, "Ah", true, &brief);
    CHECK(listing_rows(&whole) == 3 && listing_rows(&brief) == 3);
    CHECK_TEXT(listing_cell(&whole, 0, 0), "100.0 %");
    CHECK_TEXT(listing_cell(&whole, 0, 1), "0.37 Ah");
    CHECK_TEXT(listing_cell(&whole, 0, 2), "gain of the shunt, rectangular, one error throughout");
    CHECK_TEXT(listing_cell(&whole, 1, 0), "< 0.1 %");
    CHECK_TEXT(listing_cell(&whole, 1, 2), "noise, normal");
    CHECK_TEXT(listing_cell(&brief, 1, 2), "1 smaller ones");
    CHECK_TEXT(listing_cell(&whole, 2, 0), "together");
    struct text largest = TEXT_EMPTY;
    account_largest(&m, &largest);
    CHECK_TEXT(largest.s, "gain of the shunt, 100 %. What would shrink it: a better shunt.");
    text_free(&largest);
    listing_free(&whole);
    listing_free(&brief);
}

/* The largest of either column comes first; what only one of the two has stands as a dash in the other. */
TEST(two_budgets_stand_side_by_side)
{
    struct measure a = two_parts(61.3, 0.37, 0.12), b = two_parts(771, 1.1, 6.3);
    measure_part(&b, (struct part){.cause = CAUSE_RIPPLE,
                                   .shape = SHAPE_RECTANGULAR,
                                   .u = 2.9,
                                   .dof = INFINITY,
                                   .what = "ripple"});
    budget_close(&b);
    struct listing rows = listing_of(3);
    account_budgets(&a, "Ah", &b, "Wh", &rows);
    CHECK(listing_rows(&rows) == 4);
    CHECK_TEXT(listing_cell(&rows, 0, 0), "gain of the shunt");
    CHECK_TEXT(listing_cell(&rows, 1, 0), "noise");
    CHECK_TEXT(listing_cell(&rows, 2, 0), "ripple");
    CHECK_TEXT(listing_cell(&rows, 2, 1), "–");
    double gain = 0.37 * 0.37 / (0.37 * 0.37 + 0.12 * 0.12);
    double noise = 6.3 * 6.3 / (6.3 * 6.3 + 2.9 * 2.9 + 1.1 * 1.1);
    CHECK_NEAR(strtod(listing_cell(&rows, 0, 1), NULL), 100 * gain, 0.05);
    CHECK_NEAR(strtod(listing_cell(&rows, 1, 2), NULL), 100 * noise, 0.05);
    CHECK_TEXT(listing_cell(&rows, 3, 0), "together");
    listing_free(&rows);
}

TEST(of_many_steps_the_largest_are_told_in_the_order_of_time)
{
    static const double changes[] = {4, 31, 7, 22, 31};
    struct assessment made = with_record(10, 1);
    struct findings *f = &made.records[0].findings;
    f->steps = memory_get(5 * sizeof *f->steps);
    f->step_count = 5;
    for (int k = 0; k < 5; k++) {
        struct step *s = &f->steps[k];
        *s = (struct step){.at_s = 100 * k + 61, .from_a = -0.0, .to_a = changes[k], .resistances = 1};
        s->resistance[0].delay_s = 10;
        s->resistance[0].ohm = k == 1 ? measure_unknown("no") : two_parts(0.0141, 0.0004, 0.0001);
    }
    struct listing rows = listing_of(5);
    CHECK(account_resistances(f, 2, &rows) == 2); /* of the four that say something */
    CHECK_TEXT(listing_cell(&rows, 0, 0), "0:06:01\n0→22 A");
    CHECK_TEXT(listing_cell(&rows, 1, 0), "0:07:41\n0→31 A");
    CHECK_TEXT(listing_cell(&rows, 0, 2), "");
    CHECK(strncmp(listing_cell(&rows, 0, 3), "14.1", 4) == 0);
    listing_free(&rows);
    record_free(&made);
}

TEST(what_is_published_shows_no_folder)
{
    struct assessment demo = assessed_demo();
    struct text about = TEXT_EMPTY;
    account_about(&demo, &about);
    CHECK(strstr(about.s, "How it was had: bought from stock") != NULL);
    CHECK(strstr(about.s, "Price: 389.00 EUR.") != NULL);
    CHECK_TEXT(account_file(demo.records[0].path), "hut-pack.log.csv");
    CHECK_TEXT(account_title(&demo), "Sample 014");
    text_free(&about);
    assessment_free(&demo);
    struct assessment bare = assessed("demo/hut-pack.log.csv", NULL, NULL);
    CHECK_TEXT(account_title(&bare), "hut-pack.log.csv");
    assessment_free(&bare);
}

TEST(a_charge_is_told_with_its_parts_and_what_cannot_be_told)
{
    struct assessment made = with_record(4, 600);
    struct findings *f = &made.records[0].findings;
    f->runs[0].kind = RUN_CHARGE;
    f->runs[0].charge_ah = measure_of(63.9);
    f->runs[0].energy_wh = measure_unknown("by hand");
    f->chargings = memory_get(sizeof *f->chargings);
    f->charging_count = 1;
    *f->chargings = (struct charging){.constant_a = measure_of(20.5), .constant_from_s = 60, .constant_to_s = 3660,
                                      .held_v = measure_unknown("none were held"), .tail_a = measure_of(20.4),
                                      .tail_it = measure_of(0.198), .end_v = measure_of(13.61), .end_cell_v = measure_of(3.4025),
                                      .full = FULL_NOT_SHOWN, .full_words = "its words", .balancing_words = "none"};
    struct listing rows = listing_of(2);
    account_charges(&made.records[0], &rows);
    CHECK(listing_rows(&rows) == 7);
    CHECK(strstr(listing_cell(&rows, 0, 1), "accepted") != NULL && strstr(listing_cell(&rows, 1, 1), "1:00:00") != NULL);
    CHECK_TEXT(listing_cell(&rows, 2, 1), "cannot tell: none were held");
    CHECK(strstr(listing_cell(&rows, 3, 1), "0.2 It") != NULL);
    CHECK_TEXT(listing_cell(&rows, 5, 1), "not shown to be full: its words");
    listing_free(&rows);
    record_free(&made);
}

TEST(what_the_board_did_is_told_once)
{
    struct assessment made = with_record(4, 600);
    struct findings *f = &made.records[0].findings;
    struct measure degc = measure_of(1.2);
    budget_close(&degc);
    f->trips = memory_get(3 * sizeof *f->trips);
    f->trip_count = 3;
    for (size_t k = 0; k < 2; k++)
        f->trips[k] = (struct trip){.charging = true, .way = TRIP_COLD, .trip_degc = degc, .at_s = 60, .words = "stopped"};
    f->trips[2] = (struct trip){.way = TRIP_LOW, .trip_degc = measure_unknown("no probe"), .words = "told below"};
    f->low_stops = memory_get(sizeof *f->low_stops);
    f->low_stop_count = 1;
    *f->low_stops = (struct low_stop){.words = "at 10.1 V"};
    f->holds = memory_get(sizeof *f->holds);
    f->hold_count = 1;
    *f->holds = (struct hold){.a = measure_of(98), .words = "held for four minutes"};
    f->warmings = memory_get(sizeof *f->warmings);
    f->warming_count = 1;
    *f->warmings = (struct warming){.hold = 0, .words = "too short"};
    f->trips[0].threshold_degc = degc;
    f->trips[1].threshold_degc = measure_unknown("too fast");
    snprintf(f->trips[1].words, sizeof f->trips[1].words, "stopped; " TRIP_CLIP);
    for (size_t k = 0; k < 2; k++) {
        struct trip *trip = &f->trips[k];
        snprintf(trip->place, sizeof trip->place, "%s", k == 0 ? "" : "cell sensor");
        snprintf(trip->usual, sizeof trip->usual, "above what is usual");
        trip->hysteresis_k = trip->release_degc = trip->release_threshold_degc = measure_unknown("no release");
    }
    struct listing rows = listing_of(8);
    account_stops(&made.records[0], &rows);
    CHECK(listing_rows(&rows) == 2); /* not the empty one */
    CHECK_TEXT(listing_cell(&rows, 0, 0), "charge, cold");
    CHECK(strncmp(listing_cell(&rows, 0, 4), "1.2", 3) == 0 && strncmp(listing_cell(&rows, 0, 5), "1.2", 3) == 0);
    CHECK_TEXT(listing_cell(&rows, 1, 0), "charge, cold: cell sensor");
    CHECK_TEXT(listing_cell(&rows, 1, 5), "–");
    listing_free(&rows);
    rows = listing_of(2);
    account_protections(&made.records[0], &rows);
    CHECK(listing_rows(&rows) == 5);
    CHECK_TEXT(listing_cell(&rows, 0, 0), "The 2 stops in the cold");
    CHECK(strncmp(listing_cell(&rows, 0, 1), "1.2", 3) == 0);
    CHECK(strstr(listing_cell(&rows, 0, 1), "; threshold 1.2") != NULL && strstr(listing_cell(&rows, 0, 1), "hysteresis") == NULL);
    CHECK_TEXT(listing_cell(&rows, 1, 1), "above what is usual"); /* once for both */
    CHECK_TEXT(listing_cell(&rows, 2, 0), "Threshold");
    CHECK_TEXT(listing_cell(&rows, 3, 1), TRIP_CLIP);
    CHECK_TEXT(listing_cell(&rows, 4, 1), "at 10.1 V");
    f->trips[0].trip_degc = measure_unknown("no probe");
    listing_free(&rows);
    rows = listing_of(2);
    account_protections(&made.records[0], &rows);
    CHECK_TEXT(listing_cell(&rows, 0, 0), "Charge stopped in the cold");
    CHECK_TEXT(listing_cell(&rows, 0, 1), "stopped");
    listing_free(&rows);
    rows = listing_of(2);
    account_holds(&made.records[0], &rows);
    CHECK(listing_rows(&rows) == 2);
    CHECK_TEXT(listing_cell(&rows, 0, 0), "Current held");
    CHECK_TEXT(listing_cell(&rows, 1, 1), "too short");
    listing_free(&rows);
    record_free(&made);
}
