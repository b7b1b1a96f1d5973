#include "handmade.h"

#include "battery/examine.h"
#include "battery/stretch.h"

/* Rest, 25.3 A, a burst of 71.9 A, 25.3 A again, rest; volts fall while loaded. Every 2.9 s. */
static void make_log(struct handmade *made)
{
    handmade_start(made, 2000);
    made->series.resolution[CHANNEL_VOLTAGE] = 0.001;
    made->series.resolution[CHANNEL_CURRENT] = 0.01;
    made->rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.004, .digits = 3, .stated = true};
    made->rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.0015, .digits = 4, .stated = true};
    for (int k = 0; k < 1700; k++) {
        double t = 2.9 * k, a = t < 303 || t > 4300 ? 0 : t > 2003 && t < 2064 ? 71.9 : 25.3;
        double v = 13.31 - 0.004 * a - 1e-4 * fmax(0, fmin(t, 4300) - 303) + 0.001 * (k * 7 % 3 - 1);
        handmade_reading(made, t, v, a > 0 ? a + 0.01 * (k * 5 % 3 - 1) : 0);
    }
    handmade_close(made, NULL, 0);
}

struct examined {
    struct handmade made;
    struct findings findings;
    struct notices notices;
    struct ground *ground;
};

static void examine_made(struct examined *one)
{
    struct asked asked = asked_nothing();
    struct message message = {0};
    *one = (struct examined){.notices = {0}};
    make_log(&one->made);
    CHECK(examine_series(&one->made.series, &one->made.rig, &asked, &one->findings, &one->notices, &message) == STATUS_OK);
    CHECK(ground_make(&one->made.series, &one->made.rig, &one->findings, &one->ground, &message) == STATUS_OK);
}

static void examined_free(struct examined *one)
{
    ground_free(one->ground);
    findings_free(&one->findings);
    notices_free(&one->notices);
    handmade_free(&one->made);
}

static struct stretch_found over(const struct examined *one, double from_s, double to_s)
{
    struct stretch_found stretch = {0};
    struct message message = {0};
    CHECK(stretch_measure(one->ground, from_s, to_s, &stretch, &message) == STATUS_OK);
    return stretch;
}

static void check_same(const struct measure *a, const struct measure *b)
{
    CHECK(a->value == b->value && a->u == b->u && a->lo == b->lo && a->hi == b->hi && a->count == b->count);
}

TEST(the_stretch_over_a_run_is_the_run)
{
    struct examined one;
    examine_made(&one);
    CHECK(one.findings.run_count == 3);
    for (size_t k = 0; k < one.findings.run_count; k++) {
        const struct run *run = &one.findings.runs[k];
        struct stretch_found stretch = over(&one, run->start_s, run->end_s);
        check_same(&stretch.charge_ah, &run->charge_ah);
        check_same(&stretch.energy_wh, &run->energy_wh);
        check_same(&stretch.duration_s, &run->duration_s);
        CHECK(stretch.first == run->first && stretch.last == run->last);
        CHECK(stretch.from_s == run->start_s && stretch.to_s == run->end_s);
    }
    examined_free(&one);
}

TEST(two_stretches_make_the_whole)
{
    struct examined one;
    examine_made(&one);
    const double at_s = one.made.series.t_s[411];
    struct stretch_found a = over(&one, 350, at_s), b = over(&one, at_s, 4000), whole = over(&one, 350, 4000);
    CHECK_REL(a.charge_ah.value + b.charge_ah.value, whole.charge_ah.value, 1e-12);
    CHECK_REL(a.energy_wh.value + b.energy_wh.value, whole.energy_wh.value, 1e-12);
    CHECK(a.to_s == at_s && b.from_s == at_s);
    examined_free(&one);
}

/* Against the plain integrals of what was read (numeric/integrate.h), and each mean against its amounts. */
TEST(a_stretch_between_two_readings_is_what_was_read_there)
{
    struct examined one;
    examine_made(&one);
    const struct series *s = &one.made.series;
    struct stretch_found stretch = over(&one, s->t_s[150] - 0.3, s->t_s[600] + 1.1);
    double both[2];
    integrate_both(s->t_s + 150, s->column[CHANNEL_CURRENT] + 150, s->column[CHANNEL_VOLTAGE] + 150, 451, both);
    CHECK(stretch.first == 150 && stretch.last == 600 && stretch.readings == 451);
    CHECK_REL(stretch.charge_ah.value, both[0] / 3600, 1e-12);
    CHECK_REL(stretch.energy_wh.value, both[1] / 3600, 1e-9);
    CHECK_REL(stretch.mean_a.value * stretch.duration_s.value / 3600, stretch.charge_ah.value, 1e-12);
    CHECK_REL(stretch.mean_w.value * stretch.duration_s.value / 3600, stretch.energy_wh.value, 1e-9);
    CHECK_REL(stretch.mean_v.value * stretch.charge_ah.value, stretch.energy_wh.value, 1e-9);
    CHECK(stretch.mean_a.lo < 25.3 && 25.3 < stretch.mean_a.hi);
    CHECK(isnan(u_of(&stretch.mean_a, CAUSE_STEP_INSTANTS)) || u_of(&stretch.mean_a, CAUSE_STEP_INSTANTS) < 1e-12);
    examined_free(&one);
}

/* When a run of one current began and ended moves its charge, and next to nothing of its mean current. */
TEST(the_instants_of_its_edges_cancel_in_the_mean)
{
    struct examined one;
    examine_made(&one);
    const struct run *run = &one.findings.runs[1];
    struct stretch_found stretch = over(&one, run->start_s, one.findings.phases[run->first_phase].end_s);
    double relative_of_charge = u_of(&stretch.charge_ah, CAUSE_STEP_INSTANTS) / stretch.charge_ah.value;
    double relative_of_mean = u_of(&stretch.mean_a, CAUSE_STEP_INSTANTS) / stretch.mean_a.value;
    CHECK(relative_of_charge > 1e-4);
    CHECK(isnan(relative_of_mean) || relative_of_mean < 0.02 * relative_of_charge);
    CHECK_REL(u_of(&stretch.mean_a, CAUSE_GAIN_CURRENT), stretch.mean_a.value * 0.004 / sqrt(3), 1e-9);
    CHECK_REL(u_of(&stretch.mean_a, CAUSE_OFFSET_CURRENT), 0.03 / sqrt(3), 1e-9);
    examined_free(&one);
}

TEST(what_goes_in_is_counted_in_its_own_direction)
{
    struct examined one;
    examine_made(&one);
    struct series *s = &one.made.series;
    for (size_t k = 0; k < s->count; k++)
        s->column[CHANNEL_CURRENT][k] = 0 - s->column[CHANNEL_CURRENT][k];
    struct message message = {0};
    ground_free(one.ground);
    CHECK(ground_make(s, &one.made.rig, &one.findings, &one.ground, &message) == STATUS_OK);
    struct stretch_found stretch = over(&one, 400, 1500);
    CHECK(stretch.direction == -1 && stretch.charge_ah.value > 7 && stretch.mean_a.value > 25 && stretch.mean_v.value > 12);
    examined_free(&one);
}

TEST(one_reading_is_no_stretch)
{
    struct examined one;
    examine_made(&one);
    struct stretch_found stretch;
    struct message message = {0};
    CHECK(stretch_measure(one.ground, 100.3, 102.1, &stretch, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "fewer than two readings") != NULL && message.remedy[0] != '\0');
    CHECK(stretch_measure(one.ground, 1e7, 2e7, &stretch, &message) == STATUS_USAGE);
    CHECK(stretch_measure(one.ground, 900, 200, &stretch, &message) == STATUS_USAGE);
    examined_free(&one);
}

/* Against the stretch itself and the straight lines between readings (numeric/integrate.h). */
TEST(the_charge_up_to_any_instant_and_back)
{
    struct examined one;
    examine_made(&one);
    const struct trace *trace = &one.made.trace;
    const double from_s = 301.7, instants[] = {301.7, 302.0, 305.11, 1000.3, 2003.4, 2031.2, 4298.9};
    for (size_t k = 0; k < sizeof instants / sizeof *instants; k++) {
        struct place a, b;
        CHECK(place_at(trace->t_s, trace->count, from_s, &a) && place_at(trace->t_s, trace->count, instants[k], &b));
        double ah = integrate_between(trace->t_s, trace->a, NULL, trace->count, a, b) / 3600;
        CHECK_NEAR(ground_charge_ah(one.ground, from_s, instants[k]), ah, 1e-9);
        CHECK_NEAR(ground_charge_ah(one.ground, instants[k], from_s), -ah, 1e-9);
        if (k > 2)
            CHECK_NEAR(ground_when(one.ground, from_s, ah), instants[k], 1e-6);
    }
    CHECK_NEAR(ground_charge_ah(one.ground, -1e6, 1e6), ground_charge_ah(one.ground, 0, trace->t_s[trace->count - 1]), 1e-12);
    CHECK(ground_when(one.ground, 0, 1e6) == trace->t_s[trace->count - 1]);
    examined_free(&one);
}
