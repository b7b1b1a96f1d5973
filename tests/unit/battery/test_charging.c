#include "typed.h"

#include "battery/charging.h"
#include "numeric/random.h"
#include "quantity/series.h"

/* A rest, a charge at 20.6 A of a pack of 103 Ah, its end, and a rest. */
struct bench {
    double top_v;     /* that the charger holds, or at which something stops it */
    double tail_a;    /* at which the charger ends; 0: it never comes to hold the top */
    double jump_v;    /* as the current stops, of a supply that has lost the pack; 0 none */
    int teeth;        /* stops of a minute near the top, before the end */
    double period_s;
};

enum { MOST = 20000 };
static struct series series;
static struct findings found;
static struct notices notices;
static double clock_s;
static struct random *noise;

static void log_for(const struct bench *b, double seconds, double v, double v_per_s, double a)
{
    for (double from = clock_s; clock_s < from + seconds; clock_s += b->period_s) {
        CHECK(series.count < MOST);
        size_t k = series.count++;
        series.t_s[k] = clock_s;
        series.column[CHANNEL_VOLTAGE][k] = round((v + v_per_s * (clock_s - from) + 0.002 * random_normal(noise)) * 1000) / 1000;
        series.column[CHANNEL_CURRENT][k] = -round((a + (a != 0 ? 0.02 * random_normal(noise) : 0)) * 100) / 100;
    }
}

static const struct charging *charge(const struct bench *b, uint32_t seed)
{
    findings_free(&found);
    series_free(&series);
    noise = random_new(seed);
    clock_s = 0;
    CHECK(series_init(&series, MOST, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    series.oriented = true;
    series.resolution[CHANNEL_VOLTAGE] = 0.001;
    series.resolution[CHANNEL_CURRENT] = 0.01;
    log_for(b, 300, 13.18, 0, 0);
    log_for(b, 9000, 13.42, 0.2 / 9000, 20.6);
    log_for(b, 110, 13.62, (b->top_v - 13.62) / 110, 20.6);
    for (double a = 20.6; b->tail_a > 0 && a > b->tail_a; a *= exp(-b->period_s / 500))
        log_for(b, b->period_s, b->top_v, 0, a);
    for (int k = 0; k < b->teeth; k++) {
        log_for(b, 60, b->top_v - 0.2, 0, 0);
        log_for(b, 90, b->top_v - 0.1, 0.1 / 90, fmax(b->tail_a, 3));
    }
    log_for(b, 1800, b->jump_v > 0 ? b->jump_v : b->top_v - 0.4, 0, 0);
    random_free(noise);
    struct rig rig = rig_default();
    rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.0005, .digits = 2, .stated = true};
    rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.01, .digits = 2, .stated = true};
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    asked.rated_ah = 103;
    struct message message;
    notices_free(&notices);
    CHECK(examine_series(&series, &rig, &asked, &found, &notices, &message) == STATUS_OK);
    CHECK(found.charging_count == 1);
    return found.chargings;
}

TEST(a_charge_to_its_end)
{
    for (uint32_t seed = 1; seed <= 3; seed++) {
        const struct charging *c = charge(&(struct bench){.top_v = 14.42, .tail_a = 2.1, .period_s = 10}, seed);
        CHECK(c->full == FULL_SHOWN && found.runs[c->run].ended.by == ENDED_CHARGER);
        CHECK(c->constant_a.lo <= 20.6 && 20.6 <= c->constant_a.hi && c->constant_a.hi - c->constant_a.lo < 0.6);
        CHECK(c->held_v.lo <= 14.42 && 14.42 <= c->held_v.hi && c->held_v.hi - c->held_v.lo < 0.05);
        CHECK(c->tail_a.lo <= 2.1 * 1.02 && 2.1 <= c->tail_a.hi);
        CHECK_NEAR(c->tail_it.value, 2.1 / 103, 0.002);
        CHECK_NEAR(c->end_cell_v.value, 3.605, 0.002);
        CHECK_NEAR(c->highest_held_s, 9110, 60);
        CHECK_NEAR(c->constant_to_s, 300 + 9110, 40);
        CHECK(c->balancing == BALANCING_NOT_SEEN && c->restarts == 0);
        const struct step *last = &found.steps[found.step_count - 1]; /* 0.4 V for some 2 A: no pack has 0.2 Ω */
    CHECK(last->to_a == 0 && last->from_a < 0 && last->resistances > 0);
    for (int k = 0; k < last->resistances; k++)
        CHECK(!measure_known(&last->resistance[k].ohm) && strstr(last->resistance[k].ohm.why, "held the volts") != NULL);
}
}

TEST(a_charger_that_stops_early_fills_nothing_that_is_shown)
{
    const struct charging *c = charge(&(struct bench){.top_v = 14.42, .tail_a = 11, .period_s = 10}, 4);
    CHECK(c->full == FULL_NOT_SHOWN && measure_known(&c->held_v) && !c->below_knee);
    c = charge(&(struct bench){.top_v = 13.66, .period_s = 10}, 5); /* somebody pulls the plug on the plateau */
    CHECK(c->full == FULL_NOT_SHOWN && !measure_known(&c->held_v) && c->below_knee);
    CHECK(found.runs[c->run].ended.by == ENDED_OPERATOR);
    CHECK(c->balancing == BALANCING_CANNOT_TELL && strstr(c->balancing_words, "ended before") != NULL);
}

TEST(a_board_that_opens_for_one_group_tells_of_it)
{
    const struct charging *c = charge(&(struct bench){.top_v = 14.11, .jump_v = 14.6, .period_s = 2}, 6);
    CHECK(found.runs[c->run].ended.by == ENDED_BMS && c->full == FULL_NOT_SHOWN);
    CHECK(c->balancing == BALANCING_LATE_RISE && strstr(c->balancing_words, "ahead") != NULL);
}

TEST(a_saw_tooth_is_one_charge)
{
    const struct charging *c = charge(&(struct bench){.top_v = 14.42, .tail_a = 3.2, .teeth = 4, .period_s = 2}, 7);
    CHECK(c->restarts == 4 && c->balancing == BALANCING_SAW_TOOTH);
    CHECK(strstr(c->balancing_words, "4 times") != NULL);
}

TEST(readings_too_far_apart_show_no_saw_tooth)
{
    const struct charging *c = charge(&(struct bench){.top_v = 14.42, .tail_a = 2.1, .period_s = 60}, 8);
    CHECK(c->full == FULL_SHOWN && c->balancing == BALANCING_CANNOT_TELL && strstr(c->balancing_words, "30 s") != NULL);
}

static const char *const film = "direction: charge\n"
                                "0:00:00 13.31 V 20.1 A charger on\n"
                                "0:30:00 13.52 V 20.0 A\n"
                                "1:30:00 13.71 V 19.9 A\n"
                                "2:00:00 14.40 V 14.2 A\n"
                                "2:20:00 14.41 V 5.1 A\n"
                                "2:40:00 14.40 V 1.9 A\n";

static struct typed film_of_a_charge(const char *text)
{
    struct typed typed = typed_start();
    typed.asked.cells = 4;
    typed.asked.lithium_iron_phosphate = true;
    typed.asked.rated_ah = 103;
    typed.rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.002, .digits = 1, .stated = true};
    typed_examine(&typed, text);
    return typed;
}

TEST(the_film_of_a_charger_s_display_shows_as_much)
{
    struct typed typed = film_of_a_charge(film);
    CHECK(typed.findings.charging_count == 1);
    const struct charging *c = typed.findings.chargings;
    CHECK(c->full == FULL_SHOWN);
    CHECK_NEAR(c->constant_a.value, 20.0, 0.1);
    CHECK_NEAR(c->held_v.value, 14.40, 0.011);
    CHECK_NEAR(c->tail_a.value, 1.9, 1e-9);
    CHECK(c->tail_a.hi - c->tail_a.lo > 0.1 && c->tail_a.hi - c->tail_a.lo < 1);
    CHECK_NEAR(c->end_cell_v.value, 3.6, 0.001);
    CHECK_NEAR(c->highest_held_s, 5400, 1);
    CHECK(c->balancing == BALANCING_CANNOT_TELL);
    typed_end(&typed);
}

TEST(words_stand_where_readings_cannot_tell_and_say_so)
{
    struct typed typed = film_of_a_charge("direction: charge\n"
                                          "0:00:00 20.1 A charger on\n"
                                          "2:00:00 14.2 A\n"
                                          "2:40:00 1.9 A charger shows full\n");
    CHECK(typed.findings.charging_count == 1 && typed.findings.chargings[0].full == FULL_SHOWN);
    CHECK(strstr(typed.findings.chargings[0].full_words, "line 4 says") != NULL);
    typed_end(&typed);
    typed = film_of_a_charge("direction: charge\n"
                             "0:00:00 13.40 V 20.1 A charger on\n"
                             "2:00:00 13.62 V 20.0 A\n"
                             "2:10:00 13.64 V 20.0 A charger shows full\n"); /* under 20 A a full pack stands higher */
    CHECK(typed.findings.charging_count == 1 && typed.findings.chargings[0].full == FULL_NOT_SHOWN);
    typed_end(&typed);
}
